"""Optioneer: what to order now on a new machine tool, what to retrofit, what to leave off."""

__version__: str


def __getattr__(name: str) -> str:
    """The version, looked up when it is asked for: that takes time which Ctrl-C must not wait."""
    if name != "__version__":
        raise AttributeError(f"module 'optioneer' has no attribute '{name}'")
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415 - as said above

    try:
        return version("optioneer")
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "0.0.0+checkout"
