"""Questions of the kind trace: which parts carry current.

Options
-------
form
    What is asked; ``heats`` when left out.
part
    Mark of the part, or id of the symbol.
position
    Position of the controls.
wire
    Mark of the wire that is off.
item
    Id of the question of knowledge, for the forms that ask one.
diagram
    ``none`` leaves the diagram out.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("form", "part", "position", "wire", "item", "diagram")
