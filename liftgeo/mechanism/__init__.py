"""What a geometry file says: tables, rules between keys, changes, and the parts they make."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from liftgeo.as_written import amount_in
from liftgeo.cached import cached_property
from liftgeo.chain import Parts
from liftgeo.errors import Fault, GeometryError, RequestError, nearest
from liftgeo.mechanism import key_facts, needs, rules
from liftgeo.mechanism.amounts import laid_on, resolved
from liftgeo.mechanism.beside import from_the_bench, goals_of
from liftgeo.mechanism.changes import Change, check_keys, read_changes, taken_out
from liftgeo.mechanism.fields import Number
from liftgeo.mechanism.following import with_misfit
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.lacking import apart, without
from liftgeo.mechanism.laying import Flat, flatten, kind_of, lay, models_of, nested, untouched
from liftgeo.mechanism.left_out import ALWAYS, left_out
from liftgeo.mechanism.no_unit import blamed_rightly
from liftgeo.mechanism.reading import (
    as_written,
    numbers,
    read_table,
    strange_tables,
    without_blanks,
)
from liftgeo.mechanism.settings import Settings, settings_of
from liftgeo.mechanism.settling import spelled_out
from liftgeo.mechanism.tables import DEFAULT_KIND, NEEDED_TABLES, REQUIRED_TABLES, TABLES, Table
from liftgeo.mechanism.usual import Taken, kinds_of_machine
from liftgeo.mechanism.varied import Varied
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.values import Values

if TYPE_CHECKING:
    from liftgeo.mechanism.bench import Reading

__all__ = ["Change", "Mechanism", "from_document"]


@dataclass(frozen=True, eq=False, repr=False)
class Mechanism:
    """A validated mechanism; nothing in it changes.

    Attributes
    ----------
    title : str
        The file's title.
    change : str or None
        Names of the changes laid over it, joined by " + ".
    changes : dict of Change
        The file's named changes.
    keys : dict
        Flat dotted keys with numbers in the file's bare units (a `Measured` keeps its ±), usual
        values of what was left out among them.
    taken : tuple of Taken
        What was left out, and is taken at its usual value.
    lacking : tuple of Fault
        Needed keys of later tables that are not given; those tables count as missing.
    condition, left_out : str
        "rebuilt", "used" or "worn"; "usual" or "nothing".
    machine : tuple of str
        Kinds of machine that pick usual values, of the unchanged file.
    origin : Mechanism or None
        The unchanged file, where changes are laid over it.
    readings : tuple of Reading
        What was read on the bench, from the unchanged clutch.
    readings_file : str
        Name of the file of readings that [bench] names; "" for none.
    remedy_goals : mapping of str to float
        What the file says remedies bring numbers to, by dotted key.
    changed_keys : tuple of str
        Dotted keys that the changes laid over the file give.
    """

    title: str
    change: str | None
    changes: dict[str, Change]
    keys: Flat
    tables: dict[str, Table]
    given: Flat = field(repr=False)
    source: str = ""
    cushion_load_n: float | None = None
    taken: tuple[Taken, ...] = ()
    lacking: tuple[Fault, ...] = ()
    condition: str = "used"
    left_out: str = "usual"
    machine: tuple[str, ...] = ()
    origin: Mechanism | None = field(default=None, repr=False)
    readings: tuple[Reading, ...] = ()
    readings_file: str = ""
    remedy_goals: Mapping[str, float] = field(default_factory=dict)
    changed_keys: tuple[str, ...] = ()

    def __getattr__(self, name: str) -> Any:
        """Return a table by name; None for an optional one that is not given."""
        if name in TABLES:
            return self.tables.get(name)
        raise AttributeError(name)

    def changed(self, *wanted: str | Mapping[str, Any]) -> Mechanism:
        """Return a new mechanism with changes laid over this one, in the order given.

        Parameters
        ----------
        *wanted : str or mapping
            Names of the file's changes, or dotted (or nested) keys to values; None takes one out.

        Raises
        ------
        RequestError
            A name the file does not have.
        GeometryError
            The mechanism that results cannot be analysed.
        """
        given, keys = dict(self.given), list(self.changed_keys)
        names: list[str] = [self.change] if self.change else []
        origin = self.origin or self
        settings = Settings(self.condition, self.left_out, self.machine)

        def built_of(given: Flat) -> Mechanism:
            source = f"{self.source or 'file'} with {' + '.join(names) or None}"
            return _build(given, self.title, self.changes, source, self.tables, settings, self)

        for item in wanted:
            if isinstance(item, str):
                change = self.find_change(item)
                laid, label = change.keys, change.name
            else:
                given, laid = taken_out(given, spelled_out(flatten(item)))
                check_keys(given, laid, "")
                label = ", ".join(f"{k} = {v}" for k, v in flatten(item).items())
            if any(amount_in(value) for value in laid.values()):
                laid = resolved(laid, self if given == self.given else built_of(given))
            given = laid_on(self, given, laid)
            keys += laid
            names.append(label)
        joined = " + ".join(names) or None
        built = built_of(given)
        return replace(
            built,
            change=joined,
            cushion_load_n=origin.cushion_load_n or built.cushion_load_n,
            source=self.source,
            origin=origin,
            readings=self.readings,
            readings_file=self.readings_file,
            remedy_goals=self.remedy_goals,
            changed_keys=tuple(dict.fromkeys(keys)),
        )

    def with_readings(self, readings: Iterable[Reading], source: str = "") -> Mechanism:
        """Return this mechanism with more readings from the bench beside its own.

        Raises
        ------
        GeometryError
            One says something else than another of the same thing.
        """
        from liftgeo.mechanism.bench import check_alike

        found, name = (*self.readings, *readings), source or self.readings_file
        check_alike(found, source or self.source)
        origin = self.origin and replace(self.origin, readings=found)
        return replace(self, readings=found, readings_file=name, origin=origin)

    @property
    def level(self) -> str:
        """How far the answer reaches: "ratio", "lift", "effort" or "full"."""
        for level, table in (("ratio", "release"), ("lift", "spring"), ("effort", "faces")):
            if table not in self.tables:
                return level
        return "full"

    def need_full(self, what: str) -> None:
        """Raise RequestError where an answer needs more than the file gives.

        Parameters
        ----------
        what : str
            What is asked, as it begins the sentence.
        """
        if self.level == "full":
            return
        missing = [t for t in REQUIRED_TABLES if t not in self.tables and t not in ALWAYS]
        keys = ", ".join(fault.key for fault in self.lacking)
        said = f" ({keys} not given)" if keys else ""
        raise RequestError(
            f"{what} needs the whole clutch: {' and '.join(f'[{m}]' for m in missing)} "
            f"{'is' if len(missing) == 1 else 'are'} not there yet{said}. `liftgeo check` says "
            "what to add next; `liftgeo stroke` answers as far as it can."
        )

    @property
    def called(self) -> str:
        """Name of the file, with the changes laid over it: what a fault calls this mechanism."""
        name = self.source or self.title
        return f"{name} with {self.change}" if self.change else name

    def find_change(self, name: str) -> Change:
        """Return a named change.

        Raises
        ------
        RequestError
            With the nearest known name.
        """
        if name in self.changes:
            return self.changes[name]
        near = nearest(name, self.changes)
        hint = f" Did you mean {near}?" if near else ""
        known = ", ".join(self.changes) or "none"
        raise RequestError(f"No change is called {name}.{hint} The file has: {known}.")

    @cached_property
    def inward(self) -> Inward:
        """The keys turned inward, worked out once."""
        return Inward(self.keys, self.cushion_load_n, [item.key for item in self.taken])

    def parts(self, over: Mapping[str, Values] | None = None) -> Parts:
        """Return the parts in mm, N, rad and N mm.

        Parameters
        ----------
        over : mapping, optional
            Dotted keys laid over the file, in its bare units: numbers or arrays of one shape.
        """
        return self.laid(over).parts

    def laid(self, over: Mapping[str, Values] | None) -> Inward:
        """Return the keys turned inward, with numbers or arrays laid over them as a change."""
        return self.varied(over).inward(over) if over else self.inward

    def varied(self, names: Iterable[str]) -> Varied:
        """Return this mechanism made ready for numbers laid over some of its keys.

        Raises
        ------
        RequestError
            For a key that is not known, or takes no numbers; with the nearest known one.
        """
        return Varied(self, tuple(names))

    def number(self, dotted: str) -> Number:
        """Return what a numeric key of this mechanism takes (`fields.Number`).

        Raises
        ------
        RequestError
            For a key that is not known, or is not a single number; with the nearest known one.
        """
        table = dotted.split(".")[0]
        found = None
        if dotted in self.keys_taken:
            found = key_facts.number_of(dotted, kind_of(self.keys, table))
        if found is not None:
            return found
        near = nearest(dotted, self.numeric_keys())
        hint = f" Did you mean {near}?" if near else ""
        raise RequestError(f"{dotted} is not a number this mechanism takes.{hint}")

    def takes(self, dotted: str) -> Number:
        """Return what a key of this mechanism takes: a number, or each number of a list.

        Raises
        ------
        RequestError
            For a key that is not known, or takes no numbers; with the nearest known one.
        """
        table = dotted.split(".")[0]
        if dotted in self.keys_taken:
            found = key_facts.readings_of(dotted, kind_of(self.keys, table))
            if found is not None:
                return found
        return self.number(dotted)

    def dimensions(self, dotted: str) -> int:
        """Return how many dimensions one value of a key has: 1 for points and readings, else 0."""
        if dotted == "arm.radius_same_angle":
            return 0
        self.takes(dotted)
        kind = kind_of(self.keys, dotted.split(".")[0])
        return int(key_facts.readings_of(dotted, kind) is not None)

    @cached_property
    def keys_taken(self) -> frozenset[str]:
        """Every dotted key of this mechanism's kinds."""
        found = (key_facts.keys_of(model, prefix) for prefix, model in models_of(self.keys))
        return frozenset(itertools.chain.from_iterable(found))

    def numeric_keys(self) -> list[str]:
        """Return every dotted key that takes a number in this mechanism's kinds."""
        found = (key_facts.numeric_keys_of(m, prefix) for prefix, m in models_of(self.keys))
        return list(itertools.chain.from_iterable(found))

    def reasons(self, over: Mapping[str, Values], shape: tuple[int, ...]) -> Values:
        """Return the reason code of each variant, 0 where it can be computed.

        Raises
        ------
        GeometryError
            Together the keys miss one that all variants need, or say something twice.
        """
        self.check_together(over)
        ready = self.varied(over)
        return ready.reasons(ready.inward(over), over, shape)

    def check_together(self, over: Mapping[str, Values]) -> None:
        """Raise what keys laid over the file miss, or say twice, whatever their values.

        Raises
        ------
        GeometryError
        """
        if all(dotted in self.keys for dotted in over):
            return
        laid: Flat = {}
        for dotted, value in over.items():
            shown = 1.0 if np.any(value) else 0.0
            same_angle = dotted == "arm.radius_same_angle"
            laid |= {"arm.radius": 1.0, "arm.cable_angle": 1.0} if same_angle else {dotted: shown}
        given = lay(self.given, laid)
        faults = needs.twice(given)
        missing = needs.missing(given, frozenset({*self.tables, *nested(given)}))
        lacking = {fault.key for fault in self.lacking}
        faults += [fault for fault in missing if fault.key not in lacking]
        if faults:
            raise GeometryError(faults, f"{self.source or 'file'} with {', '.join(over)}")

    def bearing_part(self, over: Mapping[str, Values] | None = None) -> Bearing | None:
        """Return the release bearing, or None."""
        return self.laid(over).bearing


def _build(
    given: Flat,
    title: str,
    changes: dict[str, Change],
    source: str,
    present: Iterable[str],
    settings: Settings,
    before: Mechanism | None = None,
) -> Mechanism:
    """Return the mechanism of flat keys, or raise all its faults; `before` lends its tables."""
    given, blank = without_blanks(given)
    document: dict[str, Any] = nested(given)
    faults: list[Fault] = []
    found: dict[str, Table] = {}
    present = {*present, *document}
    kept = {} if before is None else untouched(given, before.given, before.tables)
    for table in TABLES:
        if table not in present:
            continue
        model = kept.get(table)
        if model is None:
            model, bad = read_table(table, document.get(table, {}), kind_of(given, table))
            faults += bad
        if model is not None:
            found[table] = model
    for table in NEEDED_TABLES:
        if table not in present:
            what = TABLES[table][DEFAULT_KIND[table]].__doc__ or ""
            problem = f"This table is missing. {what}".strip()
            faults.append(Fault(table, "", problem, f"Add [{table}]."))
    faults += needs.missing(given, frozenset(found), blank)
    faults, lacking = apart(faults, settings.left_out)
    keys: Flat = {}
    for table, model in found.items():
        keys.update(numbers(table, model))
    keys = with_misfit(keys)
    machine = kinds_of_machine(keys) if settings.machine is None else settings.machine
    keys, gone, lacking = without(keys, lacking, settings.left_out)
    found = {table: model for table, model in found.items() if table not in gone}
    faults += [f for f in needs.twice(given) if f.key.split(".")[0] in found]
    taken: tuple[Taken, ...] = ()
    if settings.left_out == "usual":
        bad_keys = {fault.key for fault in faults}
        everything = left_out(keys, found, machine, settings.condition)
        taken = tuple(item for item in everything if item.key not in bad_keys)
        keys |= {item.key: item.value for item in taken}
    inward = Inward(keys)
    keys = dict(inward)
    faults += blamed_rightly(rules.broken(inward, [fault.key for fault in faults]), given)
    if faults:
        raise GeometryError(as_written(faults, given), source)
    with np.errstate(all="ignore"):
        cushion = float(inward.clamp_force_n) if "spring" in found else None
    return Mechanism(
        title,
        None,
        changes,
        keys,
        found,
        dict(given),
        source,
        cushion,
        taken,
        tuple(lacking),
        settings.condition,
        settings.left_out,
        machine,
    )


def from_document(
    document: Mapping[str, Any], source: str = "", left_out: str | None = None
) -> Mechanism:
    """Return the mechanism a parsed geometry file describes.

    Parameters
    ----------
    document : mapping
        Nested tables as TOML gives them.
    source : str
        Name shown in faults.
    left_out : {"usual", "nothing"}, optional
        How what is left out is taken, in place of what the file says.

    Raises
    ------
    GeometryError
        With every fault of the file at once.
    """
    title = document.get("title", "")
    settings, worded = settings_of(document, left_out)
    body = {k: v for k, v in document.items() if k in TABLES}
    base = spelled_out({k: v for k, v in flatten(body).items() if k not in TABLES})
    readings, readings_file, play, bench_faults = from_the_bench(document, base, settings)
    base |= play
    changes, faults = read_changes(document.get("changes", {}), base)
    goals, goal_faults = goals_of(document, base)
    faults += [*bench_faults, *goal_faults]
    faults += [*strange_tables(document), *worded]
    try:
        built = _build(base, str(title), changes, source, body, settings)
    except GeometryError as error:
        known = {k for k, v in body.items() if isinstance(v, Mapping)}
        others = [f for f in error.faults if f.key.split(".")[0] not in body.keys() - known]
        raise GeometryError((*others, *faults), source) from None
    if faults:
        raise GeometryError(faults, source)
    return replace(built, remedy_goals=goals, readings=readings, readings_file=readings_file)
