"""The reading matter of a workbook as Markdown: prompts, cases, drawings, tables."""
