"""Questions of the kind reading: what a meter shows.

Options
-------
form
    What is asked; ``across`` when left out.
part
    Name of the load it is about, such as ``E1.inner``.
position
    Position of the controls.
fault
    Id of the fault that is present; of the form ``sign``, the sign to be told: ``open``, ``joint``, ``short``,
    ``leak`` or ``none``.
meter
    Id of the meter.
item
    Id of the question of knowledge, for the forms that ask one.
diagram
    ``none`` leaves the diagram out.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("form", "part", "position", "fault", "meter", "item", "diagram")
