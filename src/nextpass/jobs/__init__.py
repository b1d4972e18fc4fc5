"""One function for each thing that a person asks for: the command line and the web only ask, show and translate."""

from nextpass.jobs.demo import Demo, run_demo
from nextpass.jobs.desk import Desk, open_desk
from nextpass.jobs.plan_next import plan_folders, plan_passes
from nextpass.jobs.progress import ProgressReport, part, silent
from nextpass.jobs.read_passes import pass_folder, read_log, review_folder, review_folders, review_one
from nextpass.jobs.what_if import WhatIf, changed_setup, what_if_folders

__all__ = [
    "Demo",
    "Desk",
    "ProgressReport",
    "WhatIf",
    "changed_setup",
    "open_desk",
    "part",
    "pass_folder",
    "plan_folders",
    "plan_passes",
    "read_log",
    "review_folder",
    "review_folders",
    "review_one",
    "run_demo",
    "silent",
    "what_if_folders",
]
