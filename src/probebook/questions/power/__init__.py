"""Questions of the kind power: ohms, watts and amperes.

Options
-------
form
    What is asked; ``watts`` when left out.
part
    Name of the load it is about, such as ``E1.inner``.
position
    Position of the controls.
reader
    ``owner`` asks it as an owner meets it.
diagram
    ``none`` leaves the diagram out.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("form", "part", "position", "reader", "diagram")
