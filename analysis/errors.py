"""Answers that are not numbers yet."""


class InsufficientData(Exception):
    """Too little data to say it honestly.

    what: what cannot be given; have, need: how much there is and how much it takes, both in `unit`
    estimate: the number that the data would give, for those who want it all the same
    """

    def __init__(
        self, what: str, have: float, need: float, unit: str = "readings", estimate: float | None = None
    ) -> None:
        super().__init__(f"{what}: {have:g} of {need:g} {unit} so far")
        self.what, self.have, self.need, self.unit, self.estimate = what, have, need, unit, estimate
