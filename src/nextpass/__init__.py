"""nextpass: from the log of a pass to the settings of the next one.

The folders stand along the way of the data: `log` reads, `review` says what happened, `fit` corrects the car,
`sim` runs it, `plan` sets the next pass. `jobs` has one function for each thing that a person asks for.
"""

__version__ = "0.1.0"
