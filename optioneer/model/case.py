"""A case: one purchase, with everything known about it."""

import hashlib
import json
from collections.abc import Mapping, Sequence

from pydantic import Field

from optioneer.model.catalogue import Catalogue, Slot
from optioneer.model.fact import Amount, Fact, Key, Name
from optioneer.model.growth import Growth, Stream
from optioneer.model.machine import Bundle, Dates, Hours, Machine, Package
from optioneer.model.origin import Origin
from optioneer.model.paying import Paying
from optioneer.model.site import Site


class Case(Fact):
    """One purchase."""

    name: Name = Field(description="Name of the case: the name of its folder.")
    machine: Machine
    hours: Hours | None = Field(default=None, description="Attended hours; none: no limit.")
    dates: Dates
    call_outs: Mapping[Key, Amount] = Field(
        default_factory=lambda: {"default": 0.0},
        description="Fixed charge of one field-service visit, by name [money].",
    )
    bundles: tuple[Bundle, ...] = ()
    packages: tuple[Package, ...] = ()
    catalogue: Catalogue
    growth: Growth
    paying: Paying | None = Field(default=None, description="Ways of paying, if any are told.")
    site: Site | None = Field(default=None, description="The shop and what it still needs.")
    sources: tuple[Origin, ...] | None = Field(
        default=None, description="Where the figures are from, as far as it is said."
    )

    def __hash__(self) -> int:
        """By content, as cases are compared."""
        return hash(self.fingerprint)

    def counts_hours_of(self, stream: Stream) -> bool:
        """Whether a stream takes hours that are limited."""
        return self.hours is not None and stream.takes_hours

    def takes_hours(self, slots: Sequence[Slot]) -> bool:
        """Whether work that some slots serve takes hours that are limited.

        Parameters
        ----------
        slots
            Related slots; none: the work that no option serves.
        """
        own = {option.option for slot in slots for option in slot.options}
        return any(
            self.counts_hours_of(stream) and (stream.uses(own) if slots else not stream.served)
            for stream in self.growth.stream
        )

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the facts as hexadecimal digits.

        Neither comments count, nor the name, nor where a figure is from.

        Notes
        -----
        Of the facts as JSON with keys in order: the same figures give the same digits whatever the
        order of keys and spaces in the files. Futures and seed are among them.

        References
        ----------
        FIPS PUB 180-4, Secure Hash Standard (2015).
        """
        facts = self.model_dump(mode="json", exclude={"name", "sources"})
        for option in facts["catalogue"]["options"]:
            for key, blank in (("kind", None), ("must", False)):
                if option[key] is blank:
                    del option[key]
        text = json.dumps(facts, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        return hashlib.sha256(text.encode("utf-8")).hexdigest()
