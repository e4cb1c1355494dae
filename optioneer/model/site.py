"""The site: what the shop has, what the machine needs there, what can be bought to close the gap.

Every figure may be typed with a unit of one's own (``"40 cfm"``); the field's name says which unit
it is kept in. A figure that nobody has given stays none and is shown as missing, never as zero.
"""

from collections.abc import Callable
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, StrictBool, model_validator

from optioneer.model.fact import Amount, Fact, Key, Name, Number, Quantity, Share, Whole, refusal
from optioneer.model.works import Crew, Item, SitePlan, Supplier, Task, Trade, WorkCalendar
from optioneer.units import in_unit

RULE_OF_THUMB = "rule of thumb, replace by a quote"
"""Label of every starting value that is trade lore or memory."""


def _typed_in(unit: str) -> BeforeValidator:
    def number(figure: object) -> object:
        return _figure_in(figure, unit) if isinstance(figure, str) else figure

    convert: Callable[[object], object] = number
    return BeforeValidator(convert)


def _figure_in(figure: str, unit: str) -> float:
    try:
        return in_unit(figure, unit)
    except ValueError as error:
        raise refusal(
            f"is no figure in {unit}" if unit else "needs no unit",
            f"Write a number in {unit}, or one with its own unit in quotes: '12 {unit}'.",
        ) from error


Kva = Annotated[Quantity, _typed_in("kVA")]
Volts = Annotated[float, Field(strict=True, gt=0, lt=1e5), _typed_in("V")]
Amps = Annotated[Quantity, _typed_in("A")]
Metres = Annotated[Quantity, _typed_in("m")]
Flow = Annotated[Quantity, _typed_in("L/min")]
Litres = Annotated[Quantity, _typed_in("L")]
Bar = Annotated[Quantity, _typed_in("bar")]
Kilograms = Annotated[Quantity, _typed_in("kg")]
FloorLoad = Annotated[Quantity, _typed_in("kg/m2")]
Kilowatts = Annotated[Quantity, _typed_in("kW")]
Delivery = Annotated[float, Field(strict=True, gt=0, lt=1e9), _typed_in("L/min")]
Bore = Annotated[float, Field(strict=True, gt=0, lt=5000), _typed_in("mm")]
Conductor = Annotated[float, Field(strict=True, gt=0, lt=1e4), _typed_in("mm2")]

DEVICE_RATINGS_A = (
    *(15.0, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250),
    *(300.0, 350, 400, 450, 500, 600, 700, 800),
)
"""Standard device ratings [A]: from memory (NEC 240.6(A)), a rule of thumb to be replaced."""


class Shop(Fact):
    """The building: supply and floor."""

    supply_v: Volts | None = Field(default=None, description="Voltage of the supply [V].")
    phases: Literal[1, 3] = Field(default=3, description="Phases of the supply.")
    frequency_hz: Literal[50, 60] | None = Field(default=None, description="Frequency [Hz].")
    service_a: Amps | None = Field(default=None, description="Rating of the service [A].")
    peak_a: Amps | None = Field(
        default=None,
        description="Highest demand of a measured twelve-month record [A]; none: of the loads.",
    )
    peak_factor: Number = Field(
        default=1.25, ge=1, le=2, description=f"Factor on the measured peak ({RULE_OF_THUMB})."
    )
    other_a: Amps = Field(
        default=0.0, description="Other new loads on the same service, such as a compressor [A]."
    )
    diversity: Number = Field(
        default=1.0,
        ge=1,
        le=10,
        description="The loads' own demands together over their common peak, at least 1.",
    )
    run_m: Metres | None = Field(default=None, description="One-way length of the run [m].")
    conductor_mm2: Conductor | None = Field(default=None, description="Conductor area [mm2].")
    conductor: Literal["copper", "aluminium"] = Field(default="copper", description="Its metal.")
    conductor_a: Amps | None = Field(
        default=None,
        description="Current that the conductors of the run may carry, by the code's tables [A].",
    )
    allowed_drop: Share = Field(
        default=0.03, description="Voltage drop allowed on the run, as a share."
    )
    device_ratings_a: tuple[Amps, ...] = Field(
        default=DEVICE_RATINGS_A,
        description=f"Standard ratings of protective devices, rising [A] ({RULE_OF_THUMB}).",
    )
    volts_to_ground: Volts | None = Field(
        default=None, description="Voltage to ground at the panel [V]."
    )
    panel_opposite: Literal["A", "B", "C"] | None = Field(
        default=None,
        description="What faces the panel: A nothing live or grounded, B grounded, C live parts.",
    )
    panel_depth_m: Metres | None = Field(
        default=None, description="Clear depth in front of the panel [m]."
    )
    floor_limit_kg_m2: FloorLoad | None = Field(
        default=None, description="Load the floor may carry, by its papers [kg/m2]."
    )
    free_length_m: Metres | None = Field(default=None, description="Free floor, length [m].")
    free_width_m: Metres | None = Field(default=None, description="Free floor, width [m].")
    ceiling_m: Metres | None = Field(default=None, description="Clear height [m].")
    machine_on: tuple[Key, ...] = Field(
        default=(), description="Places that the new machine will cover."
    )
    parking: tuple[Key, ...] = Field(
        default=(), description="Places where an item may stand for a while, one in each."
    )


class Transformer(Fact):
    """A transformer on hand."""

    kva: Kva = Field(description="Rating [kVA].")
    primary_v: Volts = Field(description="Primary voltage [V].")
    secondary_v: Volts = Field(description="Secondary voltage [V].")


class Load(Fact):
    """A load on the service already; counted where no peak was measured."""

    id: Key = Field(description="Key, unique among loads.")
    name: Name = Field(default="", description="What it is; default: its id.")
    kva: Kva = Field(description="Connected load [kVA].")
    factor: Annotated[float, Field(strict=True, gt=0, le=1)] = Field(
        default=1.0,
        description="Demand factor, the share of it drawn at its peak: the largest single machine "
        "1, groups of machine tools 0.30, lighting 0.75 (UFC 3-501-01, Table 2).",
    )


class Compressor(Fact):
    """A compressor on hand."""

    id: Key = Field(description="Key, unique among compressors.")
    delivery_l_min: Delivery = Field(description="Free air delivered [L/min].")
    load_bar: Bar | None = Field(default=None, description="Pressure at which it loads [bar].")
    unload_bar: Bar | None = Field(default=None, description="Pressure at which it unloads [bar].")
    power_kw: Kilowatts | None = Field(default=None, description="Electrical power loaded [kW].")
    unloaded_share: Share | None = Field(
        default=None, description="Power once unloaded, as a share of the loaded one."
    )
    blowdown_s: Quantity | None = Field(
        default=None, description="Time its power takes to fall once unloaded [s]."
    )
    cycles_per_hour: Quantity | None = Field(
        default=None,
        gt=0,
        description="Starts or load cycles an hour it may make; none: as its motor may start.",
    )
    motor_kw: Kilowatts | None = Field(
        default=None, description="Rated power of a motor that starts in every cycle [kW]."
    )
    poles: Literal[2, 4, 6] | None = Field(default=None, description="Poles of that motor.")


class Air(Fact):
    """Compressed air of the shop."""

    compressor: tuple[Compressor, ...] = Field(default=(), description="Compressors on hand.")
    receivers_l: Litres | None = Field(default=None, description="Receivers, in all [L].")
    present_l_min: Flow | None = Field(
        default=None, description="Present average demand, leaks included [L/min]."
    )
    leak_share: Share = Field(
        default=0.10, description="Leakage allowed on what is added, as a share."
    )
    tight_share: Share = Field(
        default=0.80, description=f"Load of the compressors that is tight ({RULE_OF_THUMB})."
    )
    atmosphere_bar: Number = Field(
        default=1.01325, gt=0.5, lt=1.2, description="Air pressure of the place [bar]."
    )
    line_m: Metres | None = Field(
        default=None,
        description="Length of the line to the machine, fittings as the pipe that loses as much "
        "[m].",
    )
    line_mm: Bore | None = Field(default=None, description="Inside diameter of that line [mm].")
    line_drop_bar: Bar = Field(
        default=0.1, description=f"Pressure it may lose [bar] ({RULE_OF_THUMB})."
    )
    hours_per_year: Quantity | None = Field(default=None, description="Hours under air [h/year].")
    price_per_kwh: Amount | None = Field(default=None, description="Electricity [money/kWh].")


class Opening(Fact):
    """A door, aisle or turn on the way in."""

    id: Key = Field(description="Key, unique among openings.")
    width_m: Metres = Field(description="Clear width [m].")
    height_m: Metres | None = Field(default=None, description="Clear height; none: no limit [m].")


class Needs(Fact):
    """What the standard machine needs, by nameplate and installation drawing, options left out."""

    voltage_v: Volts | None = Field(default=None, description="Rated voltage [V].")
    voltage_tolerance: Share = Field(
        default=0.10, description="Deviation of the supply it accepts, as a share."
    )
    phases: Literal[1, 3] = Field(default=3, description="Phases.")
    frequency_hz: Literal[50, 60] | None = Field(default=None, description="Frequency [Hz].")
    full_load_kva: Kva | None = Field(
        default=None, description="Full load of the nameplate [kVA]; options add theirs."
    )
    other_kva: Kva = Field(
        default=0.0, description="What else hangs on the same feed and transformer [kVA]."
    )
    largest_motor_a: Amps | None = Field(
        default=None,
        description="Full-load current of its largest motor or drive, by nameplate [A].",
    )
    heating_a: Amps = Field(
        default=0.0, description="Full-load current of its resistance heating [A]."
    )
    spare_factor: Number = Field(
        default=1.25, ge=1, le=3, description=f"Transformer over load ({RULE_OF_THUMB})."
    )
    air_l_min: Flow | None = Field(
        default=None, description="Average air demand, free air [L/min]; never assumed."
    )
    air_peak_l_min: Flow | None = Field(default=None, description="Peak air demand [L/min].")
    air_peak_s: Quantity | None = Field(default=None, description="How long a peak lasts [s].")
    air_bar: Bar | None = Field(default=None, description="Least pressure at its inlet [bar].")
    length_m: Metres | None = Field(default=None, description="Length [m].")
    width_m: Metres | None = Field(default=None, description="Width [m].")
    height_m: Metres | None = Field(default=None, description="Height once set up [m].")
    service_m: tuple[Metres, Metres, Metres, Metres] | None = Field(
        default=None, description="Service space left, right, front and back [m]."
    )
    mass_kg: Kilograms | None = Field(default=None, description="Mass [kg].")
    load_kg: Kilograms | None = Field(
        default=None, description="Coolant, chips and the heaviest workpiece [kg]."
    )
    feet: Whole | None = Field(default=None, ge=3, le=64, description="Number of feet.")
    pad_mm: Annotated[float, Field(strict=True, gt=0, lt=5000), _typed_in("mm")] | None = Field(
        default=None, description="Diameter of a foot's contact [mm]."
    )
    foot_limit_mpa: Annotated[Quantity, _typed_in("MPa")] | None = Field(
        default=None, description="Pressure the slab may carry under a foot [MPa]."
    )
    uneven_factor: Number = Field(
        default=1.5, ge=1, le=4, description=f"Share of the worst foot ({RULE_OF_THUMB})."
    )
    shipping_width_m: Metres | None = Field(default=None, description="Shipping width [m].")
    shipping_height_m: Metres | None = Field(default=None, description="Shipping height [m].")
    way_margin_m: Metres = Field(
        default=0.15, description=f"Margin on each side of the way in [m] ({RULE_OF_THUMB})."
    )
    skate_height_m: Metres = Field(
        default=0.20, description=f"Height of skates and jacks [m] ({RULE_OF_THUMB})."
    )
    sump_l: Litres | None = Field(default=None, description="Coolant sump [L].")


SupplyKind = Literal[
    "transformer", "service", "compressor", "receiver", "floor", "area", "coolant", "other"
]

SUPPLY_UNITS: dict[str, str] = {
    "transformer": "kVA",
    "service": "A",
    "compressor": "L/min",
    "receiver": "L",
    "floor": "kg/m2",
    "area": "m2",
}
"""Unit of a supply's rating by its kind."""


class Supply(Fact):
    """Something that can be bought for the site; kinds with a rating only if they are needed."""

    id: Key = Field(description="Key, unique among supplies and tasks.")
    what: Name = Field(description="What it is, in the words of an order.")
    kind: SupplyKind = Field(default="other", description="Which shortfall it closes.")
    rating: Number | None = Field(
        default=None,
        gt=0,
        description="kVA, service amps, L/min or L added, kg/m2 borne, m2 gained, by kind; of "
        "coolant the concentration as a share.",
    )
    price: Amount | None = Field(default=None, description="Price [money].")
    quantity: Quantity | None = Field(default=None, description="How many or how much.")
    unit_price: Amount | None = Field(default=None, description="Price of one [money].")
    share_of_price: Share | None = Field(
        default=None, description="Price as a share of the machine's base price."
    )
    install: Amount = Field(default=0.0, description="Having it fitted, on top [money].")
    quoted: StrictBool = Field(
        default=False, description=f"Price by a quote; else a {RULE_OF_THUMB}."
    )
    lead_days: tuple[Quantity, Quantity, Quantity] | None = Field(
        default=None, description="Order to arrival: low, likely, high [calendar days]."
    )
    supplier: Key | None = Field(default=None, description="Who is paid.")
    before: Key | None = Field(default=None, description="Task that waits for it (kind other).")
    later: Annotated[float, Field(strict=True, ge=0, le=20)] = Field(
        default=1.0, description="Price and fitting later, as a multiple of now."
    )
    later_downtime_days: Quantity = Field(
        default=0.0, description="Machine days lost to fitting it later [days]."
    )

    @model_validator(mode="before")
    @classmethod
    def _rating_in_its_unit(cls, raw: object) -> object:
        if isinstance(raw, dict) and isinstance(raw.get("rating"), str):
            unit = SUPPLY_UNITS.get(str(raw.get("kind", "other")), "")
            return {**raw, "rating": _figure_in(raw["rating"], unit)}
        return raw

    @model_validator(mode="after")
    def _has_its_rating(self) -> Self:
        if self.rating is None and self.kind != "other":
            raise refusal(
                f"a supply of kind '{self.kind}' has no rating",
                "Write its rating: kVA, A, L/min, L, kg/m2 or m2 by kind, a share of coolant.",
            )
        return self


class Site(Fact):
    """Everything of `site.toml`."""

    shop: Shop = Field(default_factory=Shop)
    needs: Needs = Field(default_factory=Needs)
    air: Air = Field(default_factory=Air)
    transformer: tuple[Transformer, ...] = Field(default=(), description="Transformers on hand.")
    load: tuple[Load, ...] = Field(default=(), description="Loads on the service already.")
    opening: tuple[Opening, ...] = Field(default=(), description="Openings on the way in.")
    supply: tuple[Supply, ...] = Field(default=(), description="What can be bought.")
    supplier: tuple[Supplier, ...] = Field(default=(), description="Who is paid, on what terms.")
    trade: tuple[Trade, ...] = Field(default=(), description="Trades that come to the site.")
    crew: Crew = Field(default_factory=Crew)
    calendar: WorkCalendar = Field(default_factory=WorkCalendar)
    item: tuple[Item, ...] = Field(default=(), description="What stands in the way.")
    task: tuple[Task, ...] = Field(default=(), description="Tasks of one's own, and changed ones.")
    plan: SitePlan = Field(default_factory=SitePlan)
