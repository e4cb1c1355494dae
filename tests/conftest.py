"""Flags of the run; no deadlines; one thread for products of matrices, for tests fill the cores."""

import os

import pytest
from hypothesis import HealthCheck, settings

for library in ("OPENBLAS", "MKL", "OMP"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")


settings.register_profile(
    "any-machine", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("any-machine")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite-golden",
        action="store_true",
        help="rewrite the golden texts from what the faces say now; read the diff before commit",
    )
