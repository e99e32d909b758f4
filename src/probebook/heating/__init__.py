"""Heating: alloy temperature factors, heated spaces, thermostat cycling and heat-up records.

The modules are imported by name (``from probebook.heating.cavity import Cavity``), so that a record
can be made without matplotlib.

===========  ======================================================================
alloys       temperature factor Ct(T), cold and hot ohms
wire         surface loads and wire sizes of a sheathed element
network      named heat capacities joined by conductances, and their exact modes
controls     thermostats, cut-outs and loads: plain descriptions
cavity       an oven cavity as a network
vessels      kettles, water heaters, warm-air ducts and storage cores as networks
simulate     ``run``: exact stepping from switching to switching
running      the state of a run, and the rows of a record that it fills
events       contacts, and the exact time at which one acts
record       the heat-up record, and what is read off it
figures      ``figures_of``: the record as plain numbers
saying       the record in words
plots        the record as a picture, with its text alternative
===========  ======================================================================
"""
