"""What a person concludes who reads the evidence of a case wrongly in a named way.

Each slip changes the evidence as it changes it in the head of whoever makes it (OL becomes zero, a reading with all
wires on becomes one with a wire off, a reading is left out); what is then the most probable explanation is the answer
that the slip leads to. Nothing is made up.
"""
