"""One function for each thing that a person asks for: the command line and the web only ask, show and translate."""

from nextpass.book import KeptCar, KeptPass
from nextpass.jobs.answer_kinds import FIGURES, REVIEW
from nextpass.jobs.bench import SUMS, BenchField, gentle_setup, usual_given, worked_sum
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
from nextpass.jobs.compare_passes import (
    CompareAsked,
    compare_folders,
    compare_in_book,
    compare_kept,
    compare_reviewed,
    last_change,
)
from nextpass.jobs.demo import Demo, run_demo
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.find_passes import found_passes
from nextpass.jobs.guided_test import GuidedKind, guided_kept, guided_test
from nextpass.jobs.hand_over import Chosen, HandedOver, bundle, chosen, export_folders
from nextpass.jobs.import_passes import Imported, import_places
from nextpass.jobs.kept_passes import chosen_passes, named_pass, pass_name
from nextpass.jobs.leave_out import PERSONAL, Personal, personal
from nextpass.jobs.ledger import learning_logs, ledger_in_book, ledger_of_car, ledger_of_folders
from nextpass.jobs.ledger_entries import forget_ledger_entry, keep_ledger_entries, ledger_entries
from nextpass.jobs.lost_time import where_time_went
from nextpass.jobs.plan_next import plan_folders, plan_passes
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_codes import codes_in, codes_of_file, weigh_code_texts, weigh_in_book, weigh_kept
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
from nextpass.jobs.report_for_owner import (
    OwnersReport,
    day_report,
    pass_report,
    season_of,
    season_reader,
    season_report,
)
from nextpass.jobs.traces import Along, TraceLine, channel_of, place_of, trace_window, values_at, whole_window
from nextpass.jobs.what_if import WhatIf, changed_setup, what_if_folders

__all__ = [
    "FIGURES",
    "PERSONAL",
    "REVIEW",
    "SUMS",
    "Along",
    "BenchField",
    "Brought",
    "Chosen",
    "CompareAsked",
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
    "OwnersReport",
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
    "chosen_passes",
    "codes_in",
    "codes_of_file",
    "compare_folders",
    "compare_in_book",
    "compare_kept",
    "compare_reviewed",
    "day_report",
    "export_folders",
    "export_passes",
    "find_passes",
    "forget_ledger_entry",
    "found_passes",
    "gentle_setup",
    "guided_kept",
    "guided_test",
    "import_passes",
    "import_places",
    "keep_brought",
    "keep_ledger_entries",
    "last_change",
    "learning_logs",
    "ledger_entries",
    "ledger_in_book",
    "ledger_of_car",
    "ledger_of_folders",
    "look_at",
    "named_pass",
    "next_pass_text",
    "open_desk",
    "part",
    "pass_folder",
    "pass_name",
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
    "season_of",
    "season_reader",
    "season_report",
    "silent",
    "take_setup",
    "trace_window",
    "tries_of",
    "usual_given",
    "usual_start",
    "values_at",
    "weigh_code_texts",
    "weigh_in_book",
    "weigh_kept",
    "what_if_folders",
    "where_time_went",
    "whole_window",
    "windows_of",
    "with_table",
    "without_table",
    "worked_sum",
]
