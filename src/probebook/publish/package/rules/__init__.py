"""What a package must be, checked on its files as they are written: the standard's own rules, element by element.

No registry carries the schemas of the standard, so its written rules stand here as data: the information models of QTI
2.2 (2015) and 3.0 (2022) and their content packaging profiles, for the part that is written here. Nothing of the writer
is used: what it spells wrong is found. What a schema would not catch is checked too: a variable that is not declared, a
key that is no choice, a choice twice, an interaction that does not suit its variable, a number that is none.
"""
