"""Numbers that come out the same everywhere.

Another processor, another build of a library adds in another order and rounds the last digits otherwise. So all
products and decompositions of matrices are in one place (:mod:`probebook.numerics.matrices`), where a test lets them
err; and whatever is chosen, compared or stored is rounded first (:mod:`probebook.numerics.rounding`,
:mod:`probebook.numerics.choosing`), so that noise decides nothing.
"""
