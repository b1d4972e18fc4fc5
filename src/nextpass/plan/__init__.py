"""The best next setup under the guards, with its forecast and its reasons."""

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

__all__ = ["Band", "Binding", "BindingCause", "Change", "Forecast", "GuardMargin", "OwnEffect", "Plan", "Rung"]
