"""Whose turn it is to pay for what several clusters share, from when their work comes."""

from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats, Ints


@dataclass(frozen=True)
class Turns:
    """Whose turn it is to pay for a visit that serves several clusters valued apart.

    Parameters
    ----------
    call_out
        Its name.
    streams
        Indices of the streams that the retrofits of each cluster serve.
    own
        Which of them is the lattice's.
    """

    call_out: str
    streams: tuple[tuple[int, ...], ...]
    own: int

    def share(self, arrival: Ints, periods: int) -> Floats:
        """Part of the visit that the lattice pays at the start of each period, shape (T, n).

        All pay alike until work comes; from then on those pay to whom work came last. In each
        future the parts of all clusters add up to 1, and each is known by then.

        Parameters
        ----------
        arrival
            Period of arrival of all streams, shape (all, n).
        periods
            T of them.
        """
        now = np.arange(periods, dtype=np.int32)[:, None]
        latest = np.stack([self._latest(arrival, now, own) for own in self.streams])
        turn = latest == latest.max(axis=0)
        return np.asarray(turn[self.own] / turn.sum(axis=0))

    @staticmethod
    def _latest(arrival: Ints, now: Ints, streams: tuple[int, ...]) -> Ints:
        """Period in which some streams came last; -1 before, shape (T, n)."""
        latest = np.full((len(now), arrival.shape[1]), -1, dtype=np.int32)
        for k in streams:
            np.maximum(latest, np.where(arrival[k] <= now, arrival[k], -1), out=latest)
        return latest
