"""Problems on moments and CG, negative arms, the moment index, and the CG in per cent of the chord (MAC)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from planner.quantities.moments import Total
from planner.quantities.units import UNITS, Quantity, in_unit
from planner.school.craft import Craft
from planner.school.dice import Dice
from planner.school.problem import Ask, Draft, Facts, NotSettable, PrintedTable, SolutionLine, Working, amount
from planner.school.problems.loads import LoadFacts, LoadLine, draw_load, printed_line

LEVER: Final = "faa-h-8083-1b"


def of_loading(
    craft: Craft,
    load: LoadFacts,
    told: Sequence[str],
    asks: Sequence[Ask],
    more: Sequence[SolutionLine] = (),
    tables: Sequence[PrintedTable] = (),
    facts: Facts | None = None,
    outside: str = "",
    cg: bool = True,
) -> Draft:
    """A problem on a loading, its table and its sums before what else there is; `facts` where they are not
    the loading alone, `cg` where the solution goes as far.
    """
    return Draft(
        question=told,
        tables=(load_table(load.lines), *tables),
        asks=asks,
        facts=facts or load,
        solution=(*load_steps(craft, load, cg), *more),
        outside=outside,
    )


def load_table(lines: tuple[LoadLine, ...]) -> PrintedTable:
    """The loading as the question prints it."""
    rows = []
    for line in lines:
        mass = f"{line.volume_text} at {line.density_text}" if line.volume else line.mass_text
        rows.append((line.name, mass, line.arm_text))
    return PrintedTable(("item", "mass", "arm"), tuple(rows))


def cg_ask(craft: Craft, words: str = "the CG", key: str = "cg") -> Ask:
    """A CG as manuals print it."""
    step = craft.pen.either(0.001, 0.1)
    return amount(craft.pen, key, words, "length", step, slack=step / 2)


def mass_ask(craft: Craft, words: str = "the total mass", key: str = "mass") -> Ask:
    """A total mass to a tenth."""
    return amount(craft.pen, key, words, "mass", 0.1, slack=0.1)


def moment_ask(craft: Craft, lines: int) -> Ask:
    """A total moment, coarse enough for paper; every line may have been rounded to the step of the total."""
    step = craft.pen.either(0.1, 10.0)
    return amount(craft.pen, "moment", "the total moment", "moment", step, slack=step * lines / 4)


def load_steps(craft: Craft, facts: LoadFacts, cg: bool = True) -> Working:
    """The table of moments line by line, its sums, and the CG."""
    pen = craft.pen
    steps = Working()
    for line in facts.lines:
        if line.volume:
            steps.add(f"{line.name}, mass", line.worked(pen), "faa-h-8083-30")
        mass = line.weighs(pen)
        if len(line.people) > 1:
            mass = f"({line.mass_text}) = {mass}"
        steps.add(line.name, f"{mass} x {line.arm_text} = {pen.moment(line.moment)}")
    here = facts.sum()
    steps.add("sums", f"mass {pen.mass(here.mass)}, moment {pen.moment(here.moment)}")
    if cg:
        steps.append(cg_step(craft, here))
    return steps


def cg_step(craft: Craft, here: Total, name: str = "CG") -> SolutionLine:
    """Moment over mass."""
    pen = craft.pen
    figures = f"{pen.moment(here.moment)} / {pen.mass(here.mass)} = {pen.length(here.centre_of_gravity, 1)}"
    return SolutionLine(f"{name} = moment / mass", figures, LEVER)


def distractors(craft: Craft, dice: Dice, facts: LoadFacts, level: int) -> tuple[LoadFacts, list[str]]:
    """Figures that do not belong into the sum, as papers print them: an older record, an example aircraft."""
    pen, (mass, arm) = craft.pen, craft.empty
    words = []
    if level >= 3:
        old_mass = pen.figure(mass.value - dice.between(6.0, 14.0), "mass")
        old_arm = pen.figure(arm.value - dice.between(0.006, 0.02), "length")
        facts = replace(facts, old_empty=(old_mass.value, old_arm.value))
        words.append(f"An older record, marked superseded, gives {old_mass.text} at {old_arm.text}.")
    if level >= 4:
        example = pen.figure(mass.value - dice.between(18.0, 40.0), "mass")
        example_arm = pen.figure(arm.value + dice.between(0.01, 0.03), "length")
        facts = replace(facts, example_empty=(example.value, example_arm.value))
        words.append(f"The manual works an example for an aircraft of {example.text} at {example_arm.text}.")
    return facts, words


def heading(craft: Craft) -> str:
    """What the loading is of, and where arms are measured from."""
    includes = craft.aircraft.basic_empty.includes
    holds = f" The basic empty mass includes {' and '.join(includes)}." if includes else ""
    return (
        f"{craft.aircraft.name} is loaded as below. Arms are from the datum ({craft.aircraft.datum}).{holds}"
    )


def _by_mass(line: LoadLine) -> LoadLine:
    """The same line, fuel given in kilograms."""
    if not line.volume:
        return line
    mass = float(f"{line.kg:.1f}")
    return replace(line, mass=mass, volume=0.0, density=0.0, mass_text=f"{mass:.1f} kg")


def set_moments(craft: Craft, dice: Dice, level: int) -> Draft:
    """Total mass, moment and CG of a loading within limits."""
    facts = draw_load(craft, dice)
    if level == 1 and craft.pen.either(True, False):
        facts = replace(facts, lines=tuple(map(_by_mass, facts.lines)))
    facts, extra = distractors(craft, dice, facts, level)
    asks = (mass_ask(craft), moment_ask(craft, len(facts.lines)), cg_ask(craft))
    people = "Everyone aboard was weighed. " if level >= 2 else ""
    told = (heading(craft), (people + " ".join(extra)).strip() or "Add it up.")
    return of_loading(craft, facts, told, asks)


def set_negative_arms(craft: Craft, dice: Dice, level: int) -> Draft:
    """The same with arms ahead of the datum: the aircraft's own, or those from a datum chosen further aft."""
    facts = draw_load(craft, dice)
    if all(line.arm >= 0 for line in facts.lines):
        arms = sorted({line.arm for line in facts.lines})
        if len(arms) < 3:
            why = "all load sits at nearly one arm"
            raise NotSettable(f"{why}, and a datum between the arms would leave no CG worth asking for")
        datum = craft.pen.figure(dice.between(arms[0] + 0.6 * (arms[1] - arms[0]), arms[-1]), "length")
        moved = []
        for line in facts.lines:
            arm = craft.pen.figure(line.arm - datum.value, "length")
            moved.append(replace(line, arm=arm.value, arm_text=arm.text))
        facts = replace(facts, lines=tuple(moved), category=None, others=())
        told = f"{craft.aircraft.name} is loaded as below. Arms are measured from a datum {datum.text} aft of"
        told += " that of the manual; ahead of it they are negative."
    else:
        told = heading(craft) + " An arm ahead of the datum is negative, and so is its moment."
    here = facts.sum()
    if abs(here.centre_of_gravity) < 0.05:
        raise NotSettable("the CG would lie on the datum")
    asks = (moment_ask(craft, len(facts.lines)), cg_ask(craft, "the CG, with its sign"))
    facts, extra = distractors(craft, dice, facts, level if "of the manual;" not in told else 1)
    return of_loading(craft, facts, (told, *extra), asks)


def set_index(craft: Craft, dice: Dice, level: int) -> Draft:
    """The total moment as an index: moment over 1000 (100 from level 4)."""
    facts = draw_load(craft, dice)
    unit = craft.pen.unit("moment")
    scale = craft.pen.either(100.0, 1000.0) / (1.0 if level < 4 else 10.0)
    facts = replace(facts, divisor=scale * UNITS[unit].factor)
    words = f"the index of the total moment (moment in {unit} divided by {scale:g}; a plain number)"
    ask = Ask("index", words, step=0.01, slack=0.01 * len(facts.lines) / 4)
    facts, extra = distractors(craft, dice, facts, level)
    asks = (ask, cg_ask(craft)) if level >= 3 else (ask,)
    value = facts.answers()["index"]
    total, steps = facts.sum(), Working()
    moment = f"{in_unit(total.moment, unit):.1f} {unit}"
    steps.add("index", f"{moment} / {scale:g} = {ask.text(value)}", "common-practice")
    if level >= 3:
        steps.add("back to a moment", f"{value:.2f} x {scale:g} = {moment}")
        steps.append(cg_step(craft, total))
    return of_loading(craft, facts, (heading(craft), *extra), asks, steps, cg=False)


def set_mac(craft: Craft, dice: Dice, level: int) -> Draft:
    """The CG in per cent of the mean aerodynamic chord, of a loading; from level 4 the way back too."""
    record = craft.aircraft.mean_aerodynamic_chord
    if record is None:
        raise NotSettable("the profile gives no mean aerodynamic chord")
    pen, leading, length = craft.pen, record.leading_edge, record.length
    facts = replace(draw_load(craft, dice), chord=(leading.value, length.value))
    words = "the CG in per cent of the mean aerodynamic chord"
    ask = amount(pen, "mac", words, "ratio", 0.1, unit="%", slack=0.2)
    facts, extra = distractors(craft, dice, facts, level)
    cg = facts.answers()["cg"]
    chord = (
        f"The leading edge of the mean aerodynamic chord (LEMAC) is at {leading.text}, the chord (MAC) is"
        f" {length.text} long."
    )

    def step(cg: str) -> SolutionLine:
        worked = f"({cg} - {leading.text}) / {length.text} = {ask.text(facts.answers()['mac'])}"
        return SolutionLine("per cent MAC = (CG - LEMAC) / MAC", worked, "european-mass-exam")

    if level == 1:
        mass, shown = facts.sum().mass, pen.figure(cg, "length")
        line = printed_line("the aircraft", "other", Quantity(mass, 0.0, "mass", pen.mass(mass)), shown)
        facts = replace(facts, lines=(line,), category=None, others=())
        told = f"{craft.aircraft.name} has its CG at {shown.text} from the datum. {chord}"
        return Draft(question=(told,), asks=(ask,), facts=facts, solution=(step(shown.text),))
    asks = (cg_ask(craft), ask)
    return of_loading(craft, facts, (heading(craft), chord, *extra), asks, [step(pen.length(cg))])
