"""One function for each thing that a person asks for: the command line and the web only ask, show and translate."""

from nextpass.book import KeptCar, KeptPass
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
from nextpass.jobs.compare_passes import compare_folders, compare_reviewed
from nextpass.jobs.demo import Demo, run_demo
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.plan_next import plan_folders, plan_passes
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import pass_folder, read_log, review_folder, review_folders, review_one
from nextpass.jobs.traces import Along, TraceLine, channel_of, place_of, trace_window, values_at, whole_window
from nextpass.jobs.what_if import WhatIf, changed_setup, what_if_folders

__all__ = [
    "Along",
    "Brought",
    "Demo",
    "Desk",
    "FormRow",
    "FormTable",
    "KeptCar",
    "KeptPass",
    "KeyPath",
    "ProgressReport",
    "TraceLine",
    "WhatIf",
    "car_form",
    "changed_file",
    "changed_setup",
    "channel_of",
    "compare_folders",
    "compare_reviewed",
    "keep_brought",
    "look_at",
    "next_pass_text",
    "open_desk",
    "part",
    "pass_folder",
    "place_of",
    "plan_folders",
    "plan_passes",
    "read_log",
    "review_folder",
    "review_folders",
    "review_one",
    "run_demo",
    "safe_name",
    "silent",
    "take_setup",
    "trace_window",
    "usual_start",
    "values_at",
    "what_if_folders",
    "whole_window",
    "with_table",
    "without_table",
]
