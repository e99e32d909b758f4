"""Workbooks and benches as a folder of plain pages, for any web server, or for a telephone without one.

Every page is one file that holds all it needs: style, code, drawings, tables. A browser refuses modules from a file's
address, and a telephone that opens a file from its list of files hands the browser that one and none of its neighbours;
so nothing is loaded, and the code stands in the page as one classic script.
"""
