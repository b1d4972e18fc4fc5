"""One function for each thing that a person asks for: the command line and the web only ask, show and translate."""

from nextpass.book import KeptCar, KeptPass
from nextpass.jobs.book_jobs import bundle_passes, export_passes, find_passes, import_passes, recheck_book
from nextpass.jobs.bring_log import (
    Brought,
    keep_brought,
    look_at,
    next_pass_text,
    safe_name,
    take_setup,
    usual_start,
)
from nextpass.jobs.car_form import FormRow, FormTable, KeyPath, car_form, changed_file, with_table, without_table
from nextpass.jobs.coast_down import road_load
from nextpass.jobs.compare_passes import compare_folders, compare_reviewed
from nextpass.jobs.demo import Demo, run_demo
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.find_passes import found_passes
from nextpass.jobs.guided_test import GuidedKind, guided_test
from nextpass.jobs.hand_over import Chosen, HandedOver, bundle, chosen, export_folders
from nextpass.jobs.import_passes import Imported, import_places
from nextpass.jobs.leave_out import PERSONAL, Personal, personal
from nextpass.jobs.ledger import learning_logs, ledger_of_folders
from nextpass.jobs.lost_time import where_time_went
from nextpass.jobs.plan_next import plan_folders, plan_passes
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_codes import codes_in, codes_of_file, weigh_code_texts
from nextpass.jobs.read_passes import (
    pass_folder,
    read_log,
    review_folder,
    review_folders,
    review_one,
    tries_of,
    windows_of,
)
from nextpass.jobs.recheck import Rechecked, recheck
from nextpass.jobs.report_for_owner import day_report, pass_report
from nextpass.jobs.traces import Along, TraceLine, channel_of, place_of, trace_window, values_at, whole_window
from nextpass.jobs.what_if import WhatIf, changed_setup, what_if_folders

__all__ = [
    "PERSONAL",
    "Along",
    "Brought",
    "Chosen",
    "Demo",
    "Desk",
    "FormRow",
    "FormTable",
    "GuidedKind",
    "HandedOver",
    "Imported",
    "KeptCar",
    "KeptPass",
    "KeyPath",
    "Personal",
    "ProgressReport",
    "Rechecked",
    "TraceLine",
    "WhatIf",
    "bundle",
    "bundle_passes",
    "car_form",
    "changed_file",
    "changed_setup",
    "channel_of",
    "chosen",
    "codes_in",
    "codes_of_file",
    "compare_folders",
    "compare_reviewed",
    "day_report",
    "export_folders",
    "export_passes",
    "find_passes",
    "found_passes",
    "guided_test",
    "import_passes",
    "import_places",
    "keep_brought",
    "learning_logs",
    "ledger_of_folders",
    "look_at",
    "next_pass_text",
    "open_desk",
    "part",
    "pass_folder",
    "pass_report",
    "personal",
    "place_of",
    "plan_folders",
    "plan_passes",
    "read_log",
    "recheck",
    "recheck_book",
    "review_folder",
    "review_folders",
    "review_one",
    "road_load",
    "run_demo",
    "safe_name",
    "silent",
    "take_setup",
    "trace_window",
    "tries_of",
    "usual_start",
    "values_at",
    "weigh_code_texts",
    "what_if_folders",
    "where_time_went",
    "whole_window",
    "windows_of",
    "with_table",
    "without_table",
]
