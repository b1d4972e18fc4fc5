"""Car and pass files: read strictly, written whole.

Strangers' data enters the program here (and through `log`): what comes out is a record that keeps its promises.
"""

from nextpass.files.car_file import examine_car, read_car
from nextpass.files.pass_file import PASS_FILE, read_conditions, read_pass

__all__ = ["PASS_FILE", "examine_car", "read_car", "read_conditions", "read_pass"]
