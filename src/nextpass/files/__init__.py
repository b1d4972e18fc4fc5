"""Car and pass files: read strictly, written whole.

Strangers' data enters the program here (and through `log`): what comes out is a record that keeps its promises.
"""

from nextpass.files.car_file import examine_car, read_car
from nextpass.files.car_keys import ADJUSTER_KEYS, CAR_TABLES, MODELLED_ADJUSTERS, ONE_FUEL
from nextpass.files.car_text import car_text
from nextpass.files.entries_file import ENTRY, read_entries
from nextpass.files.keys import Key, Table
from nextpass.files.pass_file import PASS_FILE, read_conditions, read_pass
from nextpass.files.pass_keys import PASS_TABLES
from nextpass.files.pass_text import pass_text
from nextpass.files.starter import CarAnswers, Drive, new_car
from nextpass.files.writing import refuse_standing, write_car, write_pass, write_setup, write_whole

__all__ = [
    "ADJUSTER_KEYS",
    "CAR_TABLES",
    "ENTRY",
    "MODELLED_ADJUSTERS",
    "ONE_FUEL",
    "PASS_FILE",
    "PASS_TABLES",
    "CarAnswers",
    "Drive",
    "Key",
    "Table",
    "car_text",
    "examine_car",
    "new_car",
    "pass_text",
    "read_car",
    "read_conditions",
    "read_entries",
    "read_pass",
    "refuse_standing",
    "write_car",
    "write_pass",
    "write_setup",
    "write_whole",
]
