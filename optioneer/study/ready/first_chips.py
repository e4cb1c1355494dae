"""The day of first chips of a case: as stated, else from the site's task network, else by weeks."""

from optioneer.model.case import Case


def dated(case: Case) -> Case:
    """The same case with the day of first chips that its site gives, where none is stated.

    Parameters
    ----------
    case
        A checked case. With neither `first_chips` nor `lead` under its dates, and with a site, the
        day is that of the plan for the standard machine; a package that needs something slower
        pays for the days lost as part of its site cost.

    Raises
    ------
    RequestError
        The site's tasks or moves cannot be put in order.
    """
    dates = case.dates
    if case.site is None or dates.first_chips is not None or dates.lead is not None:
        return case
    # The task network is only loaded for a case that has one.
    from optioneer.model.machine import Package  # noqa: PLC0415
    from optioneer.study.ready.limits import bought_supplies  # noqa: PLC0415
    from optioneer.study.ready.ready import fitted_options  # noqa: PLC0415
    from optioneer.study.ready.road import Road  # noqa: PLC0415

    options = fitted_options(case, Package(id="base"))
    day = Road(case, bought_supplies(case, options)).planned_first_chips
    return case.model_copy(update={"dates": dates.model_copy(update={"first_chips": day})})
