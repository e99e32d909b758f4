"""Every single way in which an appliance can physically fail, listed or not, held against what was read and seen.

The appliance's circuit is all that this floor knows. It takes no fault from the file but the one that is to be proved,
searches branches and loops and solves circuits for itself, and so agrees or disagrees with diagnosis on its own word.

A failure is a branch that has other ohms than it should (open, a burnt joint, turns bridged, another element), a
contact welded closed, or a section that leaks to its metalwork; how bad it is, is open. It *fits* when some one value
of it, and parts within their tolerances, bring every reading within what its instrument can have meant, and every
functional run to what was seen.
"""

from probebook.physical.board import Setting
from probebook.physical.evidence import InUse, Read, reads_itself
from probebook.physical.failures import Failure, Mode, fitting, ruled_out, same_as

__all__ = ["Failure", "InUse", "Mode", "Read", "Setting", "fitting", "reads_itself", "ruled_out", "same_as"]
