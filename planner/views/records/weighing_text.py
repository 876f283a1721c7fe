"""A weighing: on the screen, as a printable record, as JSON, and its working as on paper."""

from __future__ import annotations

from typing import Any, Final

from planner.facts.cautions import PREPARED
from planner.logbook.mass.values import worksheet_values
from planner.logbook.mass.weigh import WorkedWeighing
from planner.quantities.units import Dimension, Display
from planner.views.blocks import INDENT, Block, Filled, Page, Row, Shows
from planner.views.keyed import keyed

RECORD_WIDTH: Final = 80  # columns of the printable record: fits a sheet of A4 or letter paper
_U: Final = "U is the expanded uncertainty (k = 2, about 95 %)."
_BLANKS: Final = ("Name", "Licence or approval", "Place and date", "Signature")


def _facts(worked: WorkedWeighing) -> list[tuple[str, str]]:
    sheet, scale, u = worked.sheet, worked.sheet.scale, worked.sheet.scale.uncertainty
    known = (
        scale.id,
        f"calibrated {scale.calibrated}" if scale.calibrated else "date of calibration not stated",
        f"certificate {scale.certificate}" if scale.certificate else "",
        f"calibration next due {scale.next_due}" if scale.next_due else "",
        f"standard uncertainty {u.text}, shared by all readings" if u else "uncertainty not stated",
    )
    weigher = f"{sheet.weigher.name}, {sheet.weigher.approval or 'approval not stated'}"
    facts = [
        ("aircraft", sheet.aircraft),
        ("date and place", f"{sheet.date}, {sheet.place}"),
        ("weighed by", weigher),
        ("scale", "; ".join(filter(None, known))),
        ("attitude", sheet.attitude),
        ("datum", sheet.datum or "not stated"),
        ("configuration", sheet.configuration),
        ("equipment aboard", "; ".join(sheet.equipment) or "no list given"),
        ("notes", sheet.notes),
        ("worksheet", worked.path),
    ]
    return [(name, value) for name, value in facts if value]


def _readings(page: Page, worked: WorkedWeighing, shown: Display) -> None:
    masses = "reading: mass | tare: mass | reaction: mass"
    table = Filled(shown, f"point: words | {masses} | arm: length | moment: moment")
    for each in worked.reactions:
        note = f"arm measured as '{each.arm_name}'" if each.arm_name else ""
        moment = each.reaction * each.arm
        table.add(each.name, each.reading, each.tare, each.reaction, each.arm, moment, note=note)
    total = worked.result.scale_total
    figures = (total.mass, total.centre_of_gravity, total.moment)
    table.add("on the scales", None, None, *figures, style="bold")
    page.add(table.made())


def _corrections(page: Page, worked: WorkedWeighing, shown: Display) -> None:
    # As in the working: first what comes out, then what goes in, then what needs no correction.
    ordered = sorted(worked.corrections, key=lambda each: 0 if each.mass < 0 else 1 if each.mass else 2)
    steps = [step.running for step in worked.result.steps[len(worked.reactions) :]]
    last = worked.result.basic_empty if not steps else steps[-1]
    running = [*steps, *[last] * (len(ordered) - len(steps))]
    change = "correction: words | mass: +mass | arm: length | moment: +moment"
    table = Filled(shown, f"{change} | then: mass | then: moment")
    for each, so_far in zip(ordered, running, strict=True):
        added = (each.name, each.mass, each.arm, each.moment)
        table.add(*added, so_far.mass, so_far.moment, note=each.basis)
    page.add(table.made())


def _result(page: Page, worked: WorkedWeighing, shown: Display) -> None:
    total, uncertainty = worked.result.basic_empty, worked.uncertainty
    figures: list[tuple[str, Dimension, float, float, int]] = [
        ("basic empty mass", "mass", total.mass, uncertainty.mass, 1),
        ("CG from the datum", "length", total.centre_of_gravity, uncertainty.cg, 0),
        ("moment", "moment", total.moment, uncertainty.moment, 0),
    ]
    rows = [
        Row([name, *(shown.number(each, kind, decimals) for each in (value, u)), shown.unit(kind)], "bold")
        for name, kind, value, u, decimals in figures
    ]
    if any(each.lateral_arm for each in worked.reactions):
        side = shown.number(total.lateral_centre_of_gravity, "length", sign=True)
        u = shown.number(uncertainty.lateral_cg, "length")
        rows.append(Row(["lateral CG, right +", side, u, shown.unit("length")]))
    page.table(": words | figure | U | unit: words", rows)
    included = ", ".join(worked.sheet.includes)
    page.paragraph(
        f"Includes: {included or 'neither oil nor unusable fuel'}. Next weighing due:"
        f" {worked.sheet.next_due or 'not stated'}."
    )
    lines = ", ".join(f"{key}: {value}" for key, value in worksheet_values(worked).items())
    page.paragraph(
        f"In a profile, once signed: basic_empty: {{{lines}, date: {worked.sheet.date}, includes:"
        f" [{included}]}}"
    )
    if not worked.uncertainties_stated:
        page.paragraph(
            "No uncertainties stated: every U is zero and says nothing of how sure the figures are."
        )
        return
    page.paragraph(_U)
    for cause, mass, cg in worked.uncertainty.causes[:5]:
        parts = f"{shown.text(2 * mass, 'mass', 1)} of the mass, {shown.text(2 * cg, 'length')} of the CG"
        page.paragraph(f"{cause}: {parts}", first=f"{INDENT}- ", rest=INDENT * 2)
    if len(worked.uncertainty.causes) > 5:
        page.paragraph(f"- and {len(worked.uncertainty.causes) - 5} smaller causes")


def render(
    worked: WorkedWeighing, shown: Display, console: Shows | None, working: bool = False, blanks: bool = False
) -> list[Block]:
    """The record at the console's width; `blanks` adds the lines for the licensed person, `working` each line
    of arithmetic.
    """
    page = Page(console)
    page.title(f"Weighing record: {worked.sheet.aircraft}")
    page.caution([PREPARED])
    page.heading("The weighing")
    for name, value in _facts(worked):
        page.paragraph(f"{name + ':':<18} {value}", rest=" " * 21)
    page.heading("On the scales")
    _readings(page, worked, shown)
    page.heading("Taken out and put in")
    _corrections(page, worked, shown)
    page.heading("Result")
    _result(page, worked, shown)
    if working:
        page.heading("Working")
        for line in working_lines(worked, shown):
            page.paragraph(line, rest=INDENT * 2)
    page.findings(worked.findings, shown)
    if blanks:
        page.heading("Checked and signed by a licensed person")
        for blank in _BLANKS:
            page.line()
            page.line(f"{INDENT}{blank + ':':<22}{'_' * 44}")
        page.line()
    page.caution([PREPARED])
    return page.blocks


def record_text(worked: WorkedWeighing, shown: Display) -> str:
    """The printable record: plain text, 80 columns, with blank lines for the licensed person."""
    from planner.views.terminal import as_text

    return as_text(render(worked, shown, None, working=True, blanks=True), RECORD_WIDTH)


def working_lines(worked: WorkedWeighing, shown: Display) -> list[str]:
    """Every line of arithmetic with its figures, as on paper."""
    lines = []
    for index, step in enumerate(worked.result.steps):
        item = step.item
        mass = shown.text(item.mass, "mass", sign=True)
        if index < len(worked.reactions):
            point = worked.reactions[index]
            reading, tare = (shown.number(each, "mass") for each in (point.reading, point.tare))
            mass = f"{reading} - {tare} = {shown.text(item.mass, 'mass')};"
        moment = f"x {shown.text(item.arm, 'length')} = {shown.text(item.moment, 'moment', sign=True)}"
        so_far = f"{shown.text(step.running.mass, 'mass')}, {shown.text(step.running.moment, 'moment')}"
        lines.append(f"{item.name}: {mass} {moment}; so far {so_far}")
    total = worked.result.basic_empty
    moment, mass = shown.number(total.moment, "moment"), shown.number(total.mass, "mass", 1)
    return [*lines, f"CG = {moment} / {mass} = {shown.text(total.centre_of_gravity, 'length')}"]


def weighing_json(worked: WorkedWeighing, shown: Display, working: bool) -> dict[str, Any]:
    """The weighing in SI, every step, uncertainties and their causes; schema `planner/weighing/1`."""
    causes = [
        dict(zip(("cause", "u_mass_kg", "u_cg_m"), of, strict=True)) for of in worked.uncertainty.causes
    ]
    result: dict[str, Any] = {
        "schema": "planner/weighing/1",
        "caution": PREPARED,
        "signed": False,
        "facts": dict(_facts(worked)),
        "points": [
            keyed(each, "name reading_kg=reading tare_kg=tare reaction_kg=reaction arm_m=arm")
            for each in worked.reactions
        ],
        "on_scales": keyed(worked.result.scale_total, "mass_kg=mass moment_kg_m=moment"),
        "corrections": [
            keyed(each, "name mass_kg=mass u_kg arm_m=arm basis", u_kg=abs(each.u_mass))
            for each in worked.corrections
        ],
        "steps": [
            keyed(step.item, "name mass_kg=mass arm_m=arm moment_kg_m=moment", then_kg=step.running.mass)
            for step in worked.result.steps
        ],
        "basic_empty": keyed(
            worked,
            "mass_kg=result.basic_empty.mass mass_expanded_uncertainty_kg=uncertainty.mass"
            " cg_m=result.basic_empty.centre_of_gravity cg_expanded_uncertainty_m=uncertainty.cg"
            " moment_kg_m=result.basic_empty.moment moment_expanded_uncertainty_kg_m=uncertainty.moment"
            " lateral_cg_m=result.basic_empty.lateral_centre_of_gravity"
            " lateral_cg_expanded_uncertainty_m=uncertainty.lateral_cg includes=sheet.includes"
            " date=sheet.date",
            next_due=str(worked.sheet.next_due or "not stated"),
            profile_lines=worksheet_values(worked),
        ),
        **keyed(worked, "uncertainties_stated causes findings", causes=causes),
    }
    if working:
        result["working"] = working_lines(worked, shown)
    return result
