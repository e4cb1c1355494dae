"""When to retrofit: the rule that counts only work already here, and what is learned on top."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.lattice.moves import BestMoves, best_choice
from optioneer.valuation.lattice.outlays import close, flow_cost, rule_estimate
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.signals import Signals

Mapper = Callable[..., Iterable[Any]]
"""``map``, or one that works in parallel and keeps the order."""


@dataclass(frozen=True)
class Correction:
    """What was learned for one period, for the estimate of each state's cost from the next on.

    Parameters
    ----------
    weight
        On the rule's own estimate, shape (P,); 1 unless a margin swings.
    slope
        On the signals, shape (P, F) [money].
    low, high
        What the costs were while learning, shape (P,) [money]; estimates stay within.
    """

    weight: Floats
    slope: Floats
    low: Floats
    high: Floats

    @cached_property
    def _plain(self) -> bool:
        """Whether the rule's own estimate counts as it is."""
        return bool((self.weight == 1.0).all())

    def of(self, states: Indices) -> "Correction":
        """The part for `states`."""
        return Correction(
            self.weight[states], self.slope[states], self.low[states], self.high[states]
        )

    def estimate(self, rule: Floats, signals: Floats, out: Floats | None = None) -> Floats:
        """The learned estimate from the rule's, shape (P, n), and the signals, shape (F, n).

        `out` is where it is put; none: in an array of its own.
        """
        estimate: Floats = self.slope @ signals
        estimate += rule if self._plain else rule * self.weight[:, None]
        place = estimate if out is None else out
        return np.clip(estimate, self.low[:, None], self.high[:, None], out=place)


@dataclass(frozen=True)
class Policy:
    """How to decide: the rule, with corrections by period where any were learned.

    Parameters
    ----------
    signals
        What the corrections look at; those of the whole lattice.
    corrections
        By period; a period without one is decided by the rule alone.
    ruled
        States from which, when ordered, the rule alone is followed to the end, shape (P,), because
        it cost less in the lessons; none: there are no such states.
    """

    signals: Signals | None = None
    corrections: tuple[Correction | None, ...] = ()
    ruled: Bools | None = None

    def of(self, states: Indices) -> "Policy":
        """The same policy for some of the states."""
        kept = tuple(None if c is None else c.of(states) for c in self.corrections)
        return Policy(self.signals, kept, None if self.ruled is None else self.ruled[states])

    def asked_from(self, states: Sequence[int]) -> "Policy":
        """The same from some states; from others the rule is followed where these all follow it.

        Nor is it from any where none of them does: then only one of the two has to be worked out.
        """
        if self.ruled is None or not (ruled := self.ruled[list(states)]).any():
            return replace(self, ruled=None)
        return Policy() if ruled.all() else self

    def after(self, start: int) -> "Policy":
        """What is followed once state `start` is ordered."""
        if self.ruled is not None and self.ruled[start]:
            return Policy()
        return replace(self, ruled=None)

    def correction_in(self, t: int) -> Correction | None:
        """What was learned for period `t`, if anything."""
        return self.corrections[t] if self.corrections else None

    def estimate(self, view: View, periods: range, known: Floats) -> Floats:
        """Expected cost of each state from the next period on, as seen then, shape (P, S x n).

        States that are not valid get a finite, meaningless figure. The last period has to be asked
        for alone. `known` is from ``view.known_level(periods)``.
        """
        return self.corrected(view, periods, known, rule_estimate(view, periods, known))

    def corrected(self, view: View, periods: range, known: Floats, rule: Floats) -> Floats:
        """The rule's estimate, shape (P, S x n), with what was learned for the periods."""
        corrections = [self.correction_in(t) for t in periods]
        if self.signals is None or not any(corrections):
            return rule
        signals, estimate = self.signals.at(view, periods, known), np.empty_like(rule)
        for place, correction in enumerate(corrections):
            now = view.moments(place)
            if correction is None:
                estimate[:, now] = rule[:, now]
            else:
                correction.estimate(rule[:, now], signals[:, now], out=estimate[:, now])
        return estimate


@dataclass(frozen=True)
class Strands:
    """What has to be followed through from every state to know what some policies cost.

    Parameters
    ----------
    policies
        Of one lattice. From some states they may follow the rule instead of what was learned.
    """

    policies: tuple[Policy, ...]

    @cached_property
    def followed_policies(self) -> tuple[Policy, ...]:
        """Policies that are the same from every state; the rule, where it is needed, first."""
        own = [
            replace(policy, ruled=None) for policy in self.policies if self._follows_learned(policy)
        ]
        return (Policy(), *own) if self._rule_needed else tuple(own)

    def costs(self, followed: Sequence[Floats]) -> list[Floats]:
        """Cost of each of `policies` from those of `followed`, shape (P, n) each [money]."""
        rule, own = followed[0], iter(followed[self._rule_needed :])
        return [
            rule if not self._follows_learned(policy) else _either(policy.ruled, rule, next(own))
            for policy in self.policies
        ]

    @property
    def _rule_needed(self) -> bool:
        return any(p.ruled is not None or not self._follows_learned(p) for p in self.policies)

    @staticmethod
    def _follows_learned(policy: Policy) -> bool:
        """Whether what was learned is followed from any state."""
        return bool(policy.corrections) and (policy.ruled is None or not policy.ruled.all())


def _either(ruled: Bools | None, rule: Floats, learned: Floats) -> Floats:
    return learned if ruled is None else np.where(ruled[:, None], rule, learned)


def decision_spans(view: View) -> Iterator[range]:
    """All periods in which something can be fitted, the last ones first, a few at a time.

    The last period is alone: nothing earns after it, so that it is decided differently.
    """
    stop = view.timeline.periods
    if stop > 1:
        yield range(stop - 1, stop)
    for end in range(stop - 1, 1, -view.span):
        yield range(max(end - view.span, 1), end)


def policy_steps(
    view: View, periods: range, policies: Sequence[Policy], to_go: Sequence[Floats]
) -> list[Floats]:
    """Realised cost of each state from the first of `periods` on, by policy, (P, n) each.

    `to_go` is the same from the end of `periods` on.
    """
    choices, flow = policy_choices(view, periods, policies)
    return [
        cost_to_go(view, periods, choice, flow, later)
        for choice, later in zip(choices, to_go, strict=True)
    ]


def policy_choices(
    view: View, periods: range, policies: Sequence[Policy]
) -> tuple[Iterator[BestMoves], Floats]:
    """What each policy does from each state in some periods, and the flow of each state then."""
    known = view.known_level(periods)
    rule = rule_estimate(view, periods, known)
    charges, flow = view.charges(periods), flow_cost(view, periods, known)
    choices = (
        best_choice(view.lattice, charges, policy.corrected(view, periods, known, rule))
        for policy in policies
    )
    return choices, flow


def cost_to_go(
    view: View, periods: range, choice: BestMoves, flow: Floats, to_go: Floats
) -> Floats:
    """Cost to go before the periods of some choices from that after them."""
    now, count = choice.paid + flow, view.futures.count
    place = choice.state * count
    by_period = place.reshape(len(place), -1, count)
    by_period += np.arange(count)
    for period in reversed(range(len(periods))):
        moments = view.moments(period)
        # The rows are known to exist; "clip" only spares numpy the check.
        to_go = to_go.ravel().take(place[:, moments], mode="clip")
        to_go += now[:, moments]
        close(view, periods[period], to_go)
    return to_go
