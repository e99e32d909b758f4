"""From a plan to the files of a workbook: cells, questions, notebook and marking sheet."""
