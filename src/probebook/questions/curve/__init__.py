"""Questions of the kind curve: reading a heat-up record.

Options
-------
form
    What is read off the record: ``plateau``, ``time`` or ``period``; one that suits it when left out.
position
    Position of the controls; one that heats when left out.
fault
    Id of the fault that the record shows, or ``none``.
judge
    Whether the record is judged too (true or false); from level 3 on when left out.
reader
    ``owner`` asks it as an owner meets it.
"""

#: Keys that a plan may give under ``options``.
OPTIONS = ("form", "position", "fault", "judge", "reader")
