"""A kind of option, of machine and of work: what the trade reckons with where nothing is known."""

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from optioneer.errors import did_you_mean
from optioneer.model.fact import Fact, Id, Key, Name, Note, Quantity, Share, Triangular, refusal

Fitting = Literal["factory-only", "retrofittable"]

LANGUAGES = ("en", "de", "fr", "es", "it")
"""Languages in which lines are recognised."""

NOT_PLACED = "to-be-asked"
"""The kind of an option of which nobody has said yet what it is."""


def _three(found: Any) -> Any:
    """Low, likely, high of a list of three."""
    corners = ("low", "likely", "high")
    if isinstance(found, list) and len(found) == len(corners):
        return dict(zip(corners, found, strict=True))
    return found


Three = Annotated[Triangular, BeforeValidator(_three)]
Phrase = Annotated[str, Field(pattern=r"^[a-z0-9*]+( [a-z0-9*]+)*$", max_length=80)]
Reason = Annotated[str, Field(min_length=1, max_length=500)]


class Fit(Fact):
    """How a thing is fitted, and what that makes of a retrofit."""

    fitting: Fitting = Field(description="Whether it can be fitted later at all.")
    multiplier: Three | None = Field(default=None, description="Retrofit multiplier.")
    days: Quantity = Field(default=0.0, description="Machine days lost to a retrofit [days].")
    why: Note = Field(default="", description="Why it cannot be fitted later.")
    why_multiplier: Note = Field(default="", description="Why the multiplier is as it is.")
    why_days: Note = Field(default="", description="Why it takes so long.")

    @model_validator(mode="after")
    def _has_reasons(self) -> Self:
        later = self.fitting == "retrofittable"
        if later != (self.multiplier is not None):
            raise refusal("a multiplier belongs to what can be fitted later", "Give both or none.")
        told = (self.why_multiplier, self.why_days) if later else (self.why,)
        if not all(told):
            raise refusal("a figure has no reason", "Write why, why_multiplier and why_days.")
        return self


class Keep(Fact):
    """What a thing costs to keep, and brings at a sale."""

    upkeep: Share = Field(description="Upkeep, as a share of its price [1/year].")
    resale: Share = Field(description="Share of its price that comes back at the end.")
    why: Reason = Field(description="Why these shares.")


class MachineKind(Fact):
    """A kind of machine; shares are of its base price."""

    id: Key
    name: Name
    words: tuple[Phrase, ...] = Field(description="Phrases that name it.")
    margin_per_day: Share = Field(description="What a day of downtime costs, as a share.")
    resale: Share = Field(description="Share that comes back at the end.")
    build_weeks: Quantity
    ship_weeks: Quantity
    commission_days: Quantity
    call_out: Share = Field(description="Fixed charge of one visit, as a share.")
    why: Reason


class OptionKind(Fact):
    """A kind of option."""

    id: Id
    name: Name
    machines: tuple[Key, ...] = Field(description="Kinds of machines that may have it.")
    charge: bool = Field(
        default=False, description="No option but a charge that comes with the machine."
    )
    fit: Key | None = Field(default=None, description="How it is fitted.")
    keep: Key | None = Field(default=None, description="What keeping it costs.")
    slot: Key | None = Field(default=None, description="Place that it shares with rivals.")
    needs: tuple[Id, ...] = Field(default=(), description="Kinds that it cannot do without.")
    excludes: tuple[Id, ...] = Field(default=(), description="Kinds that cannot stand beside it.")
    kva: Quantity = Field(default=0.0, description="Added connected load [kVA].")
    air_l_min: Quantity = Field(default=0.0, description="Added air demand [normal L/min].")
    why_load: Note = Field(default="", description="Why so much power and air.")
    words: Mapping[str, tuple[Phrase, ...]] = Field(
        default_factory=dict, description="Phrases by which a line is recognised, by language."
    )

    @property
    def phrases(self) -> Iterator[str]:
        """All phrases, in all languages."""
        for known in self.words.values():
            yield from known

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.kva or self.air_l_min) and not self.why_load:
            raise refusal(f"the load of '{self.id}' has no reason", "Write why_load.")
        if self.charge == bool(self.fit and self.keep):
            raise refusal(f"'{self.id}' says not how it is fitted", "Give fit and keep.")
        wrong = set(self.words) - set(LANGUAGES)
        if wrong:
            raise refusal(f"there is no language '{min(wrong)}'", f"One of {', '.join(LANGUAGES)}.")
        return self


class UsualWay(Fact):
    """Kinds of options that together do a kind of work."""

    kinds: tuple[Id, ...] = Field(min_length=1)
    share: Share


class UsualStream(Fact):
    """A kind of work that options are for; margins are shares of the base price a year."""

    id: Key
    name: Name
    machines: tuple[Key, ...]
    chance: Three
    years: Three
    margin: Three
    lasts_years: Three
    fallback: Share
    why: Reason
    way: tuple[UsualWay, ...] = Field(min_length=1)


class Kinds(Fact):
    """The whole file."""

    doubtful: tuple[Phrase, ...] = Field(description="Words that turn what a line is about.")
    joining: tuple[Phrase, ...] = Field(description="Words behind which only details are told.")
    neutral: tuple[Phrase, ...] = Field(description="Words that say nothing of what is meant.")
    fit: Mapping[Key, Fit]
    keep: Mapping[Key, Keep]
    machine: tuple[MachineKind, ...] = Field(min_length=1)
    kind: tuple[OptionKind, ...] = Field(min_length=1)
    stream: tuple[UsualStream, ...]

    @cached_property
    def by_id(self) -> Mapping[str, OptionKind]:
        """Kinds of options by id."""
        return {kind.id: kind for kind in self.kind}

    @cached_property
    def machines(self) -> Mapping[str, MachineKind]:
        """Kinds of machines by id."""
        return {machine.id: machine for machine in self.machine}

    @model_validator(mode="after")
    def _names_exist(self) -> Self:
        for what in (self.kind, self.machine, self.stream):
            ids = [one.id for one in what]
            twice = next((name for name in ids if ids.count(name) > 1), None)
            if twice:
                raise refusal(f"the id '{twice}' is used twice", "Each has an id of its own.")
        for where, name, known in self._references():
            if name not in known:
                raise refusal(f"{where} names '{name}', which is not there", _near(name, known))
        return self

    def _references(self) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
        """What an entry names, and among what it must be."""
        kinds, machines = {k.id: k for k in self.kind}, {m.id: m for m in self.machine}
        for kind in self.kind:
            yield from ((kind.id, one, kinds) for one in (*kind.needs, *kind.excludes))
            yield from ((kind.id, one, machines) for one in kind.machines)
            if not kind.charge:
                yield kind.id, str(kind.fit), self.fit
                yield kind.id, str(kind.keep), self.keep
        for stream in self.stream:
            yield from ((stream.id, one, kinds) for way in stream.way for one in way.kinds)
            yield from ((stream.id, one, machines) for one in stream.machines)


def _near(name: str, known: Mapping[str, Any]) -> str:
    return did_you_mean(name, list(known))
