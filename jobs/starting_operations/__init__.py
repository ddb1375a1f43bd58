"""The list of operations that a new shop begins with, and what each waits on.

Common practice, no source. Minutes are honest guesses of elapsed time for one skilled hand with machines, on a
wheel of 42 to 46 in with 12 or 14 spokes; the shop's own timings replace them.
"""

from jobs.starting_operations.finish import FINISH_OPERATIONS
from jobs.starting_operations.found import USUALLY_FOUND
from jobs.starting_operations.hubs import HUB_OPERATIONS
from jobs.starting_operations.repairs import REPAIR_OPERATIONS
from jobs.starting_operations.rims import BENT_RIM_OPERATIONS, SAWN_RIM_OPERATIONS
from jobs.starting_operations.row import StartOperation
from jobs.starting_operations.spokes import SPOKE_OPERATIONS
from jobs.starting_operations.tyres import TYRE_OPERATIONS

__all__ = ["STARTING_OPERATIONS", "USUALLY_FOUND", "StartOperation"]

# In the order of the work, which is the order of their positions in a new shop.
STARTING_OPERATIONS: tuple[StartOperation, ...] = (
    *REPAIR_OPERATIONS,
    *HUB_OPERATIONS,
    *SPOKE_OPERATIONS,
    *SAWN_RIM_OPERATIONS,
    *BENT_RIM_OPERATIONS,
    *TYRE_OPERATIONS,
    *FINISH_OPERATIONS,
)
