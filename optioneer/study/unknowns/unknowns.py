"""The figures of a valued case: which verdicts they turn, and what they are worth to know."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from optioneer.arrays import Floats
from optioneer.study.site_costs.site_bills import States
from optioneer.study.unknowns.answers import HangsOn, WorthOfFigure
from optioneer.study.unknowns.certainty import OtherChoice, hangs_on
from optioneer.study.unknowns.effects import Effect, effects
from optioneer.study.unknowns.paths import near_states, path_effects
from optioneer.study.unknowns.ranges import Ranged, Spreads, every_ranged
from optioneer.study.unknowns.worth_of_all import Together, worth_together
from optioneer.study.unknowns.worth_of_one import worth_of_knowing
from optioneer.study.worth.valued_case import Valued


@dataclass(frozen=True)
class Unknowns:
    """What the figures of a valued case do.

    Parameters
    ----------
    chosen
        The advised package.
    beside
        What the site adds to each state of each cluster, the others as advised, shape (P,) each
        [money].
    effects
        Of the figures that are known to do something.
    """

    found: Valued
    chosen: States
    beside: tuple[Floats, ...]
    effects: tuple[Effect, ...]

    @property
    def alone(self) -> tuple[tuple[Floats, ...], tuple[Effect, ...]]:
        """Without the case that it is about: what is beside, and the effects."""
        return self.beside, self.effects

    def hangs_on(self, option: str, otherwise: float) -> tuple[HangsOn, ...]:
        """The figures that turn the verdict on an option; `otherwise` as the advice says."""
        index = self.found.problem.options.index(option)
        cluster = self.found.cluster_of(index)
        lattice = self.found.costs[cluster].lattice
        holding = lattice.holding(index)
        advised = holding == holding[self.chosen[cluster]]
        choice = OtherChoice(cluster, advised=advised, otherwise=otherwise)
        return hangs_on(choice, self.effects, self.beside)

    def worths(self, turned: Mapping[str, Iterable[HangsOn]]) -> tuple[WorthOfFigure, ...]:
        """What each figure is worth to know, the most first; `turned` as `hangs_on` by option."""
        told = (
            self._worth(effect, turned, adds)
            for effect, adds in zip(self.effects, self.together.last, strict=True)
        )
        return tuple(sorted(told, key=lambda one: (-one.worth, -one.adds, one.what, one.name)))

    @cached_property
    def together(self) -> Together:
        """What it is worth to know all figures, and what each adds to the others."""
        return worth_together(self.effects, self.beside, self.found.means)

    def _worth(
        self, effect: Effect, turned: Mapping[str, Iterable[HangsOn]], adds: float
    ) -> WorthOfFigure:
        ranged, figure = effect.ranged, effect.ranged.figure
        return WorthOfFigure(
            **ranged.told,
            why=ranged.why,
            worth=worth_of_knowing(effect, self.beside),
            adds=adds,
            turns=tuple(
                option
                for option, figures in turned.items()
                if any((one.what, one.name) == (figure.what, figure.name) for one in figures)
            ),
        )


def unknowns_of(found: Valued, chosen: States, *, spreads: Spreads | None = None) -> Unknowns:
    """What the figures of a valued case do, as far as its futures tell.

    Parameters
    ----------
    chosen
        The advised package.
    spreads
        How far figures may be off; none: as usual.
    """
    figures = every_ranged(found.case, spreads)
    beside = tuple(found.site.now_beside(chosen, i) for i in range(len(found.costs)))
    seen = effects(found, figures)
    left = _left(figures, seen)
    paid = path_effects(found, left, near_states(found, chosen, beside))
    return Unknowns(found, chosen, beside, (*seen, *paid))


def figures_unseen(
    found: Valued, seen: Sequence[Effect], spreads: Spreads | None = None
) -> tuple[Ranged, ...]:
    """Figures that may be off and that no effect is known of."""
    return _left(every_ranged(found.case, spreads), seen)


def _left(figures: Sequence[Ranged], seen: Sequence[Effect]) -> tuple[Ranged, ...]:
    known = {effect.ranged.figure for effect in seen}
    return tuple(each for each in figures if each.figure not in known)
