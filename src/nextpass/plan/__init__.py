"""The best next setup under the guards, with its forecast and its reasons."""

from nextpass.plan.next_pass import plan_next, plan_setup
from nextpass.plan.plan import (
    Band,
    Binding,
    BindingCause,
    Change,
    Forecast,
    GuardMargin,
    OwnEffect,
    Plan,
    Rung,
)
from nextpass.plan.whatif import what_if

__all__ = [
    "Band",
    "Binding",
    "BindingCause",
    "Change",
    "Forecast",
    "GuardMargin",
    "OwnEffect",
    "Plan",
    "Rung",
    "plan_next",
    "plan_setup",
    "what_if",
]
