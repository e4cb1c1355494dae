"""A block of futures that is looked at again and again, at one price of an hour after the other."""

from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from typing import TypeVar

from optioneer.arrays import Floats, Indices
from optioneer.valuation.hours import HoursSeen, Work
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.view import View

_Seen = TypeVar("_Seen")


@dataclass(frozen=True)
class KeptView(View):
    """A view that keeps what it shows, for few futures: all but what a price of an hour tells.

    Parameters
    ----------
    shown
        What has been shown, by what was asked.
    """

    shown: dict[tuple[object, ...], object] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, view: View) -> "KeptView":
        """A view that keeps what it shows."""
        return cls(**{each.name: getattr(view, each.name) for each in fields(View)})

    def at(self, price: Floats | None) -> "KeptView":
        """The same at another price of an hour, shape (T, n) [money], with all that is kept."""
        hours = None if self.hours is None else HoursSeen(self.hours.attendance, price)
        other, own = replace(self, hours=hours), {each.name for each in fields(self)}
        vars(other).update({name: held for name, held in vars(self).items() if name not in own})
        return other

    def known_level(self, periods: range) -> Floats:
        """See `View`."""
        return self._once(("known", periods), lambda: View.known_level(self, periods))

    def expected_margin(self, known: Floats, periods: range, ahead: int = 0) -> Floats:
        """See `View`."""
        asked = "margin", periods, ahead
        return self._once(asked, lambda: View.expected_margin(self, known, periods, ahead))

    def work_in(self, known: Floats, periods: range, ahead: int) -> Work:
        """See `View`."""
        asked = "work", periods, ahead
        return self._once(asked, lambda: View.work_in(self, known, periods, ahead))

    def stretch(self, known: Floats, periods: range, ahead: tuple[Indices, Indices]) -> Work:
        """See `View`."""
        asked = "stretch", periods, *(each.tobytes() for each in ahead)
        return self._once(asked, lambda: View.stretch(self, known, periods, ahead))

    def charges(self, periods: range, ahead: int = 0) -> Charges:
        """See `View`."""
        asked = "charges", periods, ahead
        return self._once(asked, lambda: View.charges(self, periods, ahead))

    def _once(self, asked: tuple[object, ...], look: Callable[[], _Seen]) -> _Seen:
        if asked not in self.shown:
            self.shown[asked] = look()
        return self.shown[asked]  # type: ignore[return-value]  # of what was asked
