"""The shape of a template file, as pydantic models; what the words mean is the business of `reading`.

Every scalar arrives as text. Unknown keys are errors. A model says which keys there are and which belong together.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, model_validator

from tutor.quantities import SERIES

Text = Annotated[str, Field(min_length=1, max_length=4000)]
Short = Annotated[str, Field(min_length=1, max_length=200)]
Slug = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Name = Annotated[str, Field(pattern=r"^[A-Za-z][A-Za-z0-9_]*$", max_length=40)]
SeriesName = Literal["E3", "E6", "E12", "E24", "E48", "E96", "E192"]
assert set(SeriesName.__args__) == set(SERIES), "SeriesName must list the series of tutor.quantities.preferred"  # type: ignore[attr-defined]


class Model(BaseModel):
    """Base of all: frozen, unknown keys refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


# -- values ----------------------------------------------------------------------------------------------------------
class PickRule(Model):
    """One of a list."""

    pick: Annotated[list[Short], Field(min_length=1, max_length=200)]


class SeriesRule(Model):
    """One of a preferred series."""

    series: SeriesName
    from_: Annotated[Short, Field(alias="from")]
    to: Short


class RangeRule(Model):
    """One of an even range."""

    from_: Annotated[Short, Field(alias="from")]
    to: Short
    step: Short


class RowsRule(Model):
    """One row of values that belong together; `label` is the row's word."""

    rows: Annotated[list[dict[Name, Short]], Field(min_length=1, max_length=100)]


class FormulaRule(Model):
    """Worked out from other values."""

    formula: Text
    unit: Short | None = None


def _value_tag(raw: Any) -> str:
    if not isinstance(raw, dict):
        return "fixed"
    for key, tag in (("pick", "pick"), ("series", "series"), ("rows", "rows"), ("formula", "formula")):
        if key in raw:
            return tag
    return "range"


ValueModel = Annotated[
    Annotated[Short, Tag("fixed")]
    | Annotated[PickRule, Tag("pick")]
    | Annotated[SeriesRule, Tag("series")]
    | Annotated[RangeRule, Tag("range")]
    | Annotated[RowsRule, Tag("rows")]
    | Annotated[FormulaRule, Tag("formula")],
    Discriminator(_value_tag),
]


# -- supply ----------------------------------------------------------------------------------------------------------
TopologyName = Literal["half-wave", "bi-phase", "bridge"]


class WindingModel(Model):
    """The winding: its voltage off load (of each half for bi-phase) behind its resistance, and the mains frequency."""

    emf: Short
    resistance: Short
    frequency: Short


class RectifierModel(Model):
    """The law of each diode: silicon by drop and slope, a valve by one point of its sheet, an ideal one."""

    kind: Literal["silicon", "valve", "ideal"]
    drop: Short | None = None
    slope: Short | None = None
    current: Short | None = None
    resistance: Short | None = None

    @model_validator(mode="after")
    def _has_the_keys_of_its_kind(self) -> RectifierModel:
        wanted = {"silicon": {"drop", "slope"}, "valve": {"drop", "current"}, "ideal": set()}[self.kind]
        may = wanted | ({"resistance"} if self.kind == "ideal" else set())
        given = self.model_fields_set - {"kind"}
        if not wanted <= given <= may:
            raise ValueError(f"a rectifier of kind {self.kind} has {' and '.join(sorted(may))}")
        return self


class SectionModel(Model):
    """One smoothing section: a resistor, or a choke with its resistance, and the capacitor after it."""

    resistance: Short | None = None
    inductance: Short | None = None
    capacitance: Short


class LoadModel(Model):
    """What the output feeds: a resistance, a constant current, or both."""

    resistance: Short | None = None
    current: Short | None = None


class SupplyModel(Model):
    """A supply to hold formulas of the trade against."""

    topology: TopologyName
    winding: WindingModel
    rectifier: RectifierModel
    reservoir: Short | None = None
    sections: Annotated[list[SectionModel], Field(max_length=4)] = []
    load: LoadModel | None = None
    bleeder: Short | None = None


class OfSupplyModel(Model):
    """What of the supply is asked."""

    quantity: Literal[
        "mean voltage",
        "rms voltage",
        "ripple",
        "rms ripple",
        "ripple factor",
        "ripple frequency",
        "peak inverse voltage",
        "peak diode current",
        "rms winding current",
    ]
    at: Literal["reservoir", "output"] = "output"
    topology: TopologyName | None = None


# -- plot ------------------------------------------------------------------------------------------------------------
class AxisModel(Model):
    """An axis: what is plotted, and between which values."""

    name: Short
    symbol: Short | None = None
    from_: Annotated[Short, Field(alias="from")]
    to: Short
    scale: Literal["linear", "log"] = "linear"


class ReservoirModel(Model):
    """The trace of a reservoir behind full-wave rectification."""

    peak: Short
    fall: Short
    frequency: Short


class CurveModel(Model):
    """A curve: a formula of the value across, a quantity of the circuit, a triode, or a reservoir."""

    label: Short | None = None
    formula: Text | None = None
    of_circuit: Annotated[dict[str, Any] | None, Field(alias="of circuit")] = None
    valve: Short | None = None
    grid_voltages: Annotated[list[Short] | None, Field(alias="grid voltages", max_length=12)] = None
    cathode_resistor: Annotated[Short | None, Field(alias="cathode resistor")] = None
    reservoir: ReservoirModel | None = None


class PlotModel(Model):
    """A plot: paper and curves."""

    across: AxisModel
    up: AxisModel
    curves: Annotated[dict[Name, CurveModel], Field(min_length=1, max_length=8)]


class PlotReadingModel(Model):
    """What is read off the plot; one of `at`, `height`, `meets`, `extreme`."""

    curve: Name
    grid_voltage: Annotated[Short | None, Field(alias="grid voltage")] = None
    at: Short | None = None
    height: Short | None = None
    meets: Name | None = None
    extreme: Literal["highest", "lowest"] | None = None
    take: Literal["across", "up"] | None = None
    side: Literal["left", "right"] = "left"


# -- asks ------------------------------------------------------------------------------------------------------------
class SlipModel(Model):
    """A known wrong turn: the formula of its answer (or the wrong direction or option), and what to say."""

    formula: Text | None = None
    says: Text


class OptionModel(Model):
    """One option of a choice: its text, and when it is the right one."""

    text: Text
    right: Text = "false"
    says: Text | None = None


class SuspectModel(Model):
    """One suspect: a part, how it may have failed, and by how much."""

    part: Short
    fault: Short
    by: Short | None = None


class AskModel(Model):
    """One ask; which keys it may have depends on its kind."""

    text: Text
    kind: Literal["number", "change", "preferred", "choice", "formula", "fault", "reading"] = "number"
    of_circuit: Annotated[dict[str, Any] | None, Field(alias="of circuit")] = None
    of_supply: Annotated[OfSupplyModel | None, Field(alias="of supply")] = None
    model_error: Annotated[Short | None, Field(alias="model error")] = None
    formula: Text | None = None
    unit: Short | None = None
    tolerance: Short | None = None
    slips: dict[Slug, SlipModel] = {}
    topic: Slug | None = None
    possible: Text | None = None
    # preferred
    series: SeriesName | None = None
    round: Literal["nearest", "up", "down"] | None = None
    # formula
    names: Annotated[list[Name] | None, Field(min_length=1, max_length=20)] = None
    # fault
    meter: Short | None = None
    readings: Annotated[dict[str, Short] | None, Field(min_length=1, max_length=12)] = None
    suspects: Annotated[dict[Slug, SuspectModel] | None, Field(min_length=2, max_length=20)] = None
    sound: list[Text] = []
    # change
    when: dict[str, Short] | None = None
    # choice
    options: Annotated[dict[Slug, OptionModel] | None, Field(max_length=12)] = None
    # reading
    of_plot: Annotated[PlotReadingModel | None, Field(alias="of plot")] = None


class AutomaticModel(Model):
    """Stands in a solution for the automatic steps of one ask."""

    auto: Name


def _step_tag(raw: Any) -> str:
    return "automatic" if isinstance(raw, dict) else "own"


StepModel = Annotated[
    Annotated[Text, Tag("own")] | Annotated[AutomaticModel, Tag("automatic")], Discriminator(_step_tag)
]


def _solution_tag(raw: Any) -> str:
    return "whole" if isinstance(raw, str) else "steps"


SolutionModel = Annotated[
    Annotated[Literal["auto"], Tag("whole")] | Annotated[list[StepModel], Tag("steps")], Discriminator(_solution_tag)
]


class ExampleModel(Model):
    """A worked example from outside: values pinned, answers as printed, and where they were printed."""

    values: dict[Name, Short]
    answers: Annotated[dict[Name, Short], Field(min_length=1)]
    source: Text


# -- the file --------------------------------------------------------------------------------------------------------
class TemplateModel(Model):
    """A template file."""

    template: Slug
    title: Short
    topic: Slug
    level: Literal["1", "2", "3", "4"]
    circuit: Slug | dict[str, Any] | None = None
    supply: SupplyModel | None = None
    analysis: Literal["dc", "ac"] = "dc"
    frequency: Short | None = None
    values: dict[Name, ValueModel] = {}
    plot: PlotModel | None = None
    require: list[Text] = []
    text: Text
    ask: Annotated[dict[Name, AskModel], Field(min_length=1, max_length=12)]
    hints: list[Text] = []
    solution: SolutionModel = "auto"
    caution: Slug | None = None
    source: Text | None = None
    examples: list[ExampleModel] = []
