"""`planner ledger`: the fuel log of one aircraft, shown, set against itself, written out and read in."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.app.common import Json, Units, console, display, ended, group, note, print_json, refuse_option
from planner.app.desk import ledger_add
from planner.app.desk.ledger_given import HeldLedger, LedgerFile, Of, held_in, opened_ledger, reading

if TYPE_CHECKING:
    from planner.logbook.ledger.entries import Stored
    from planner.quantities.errors import InputRefused

app = group(
    "Fuel log of one aircraft: dips, gauges, uplifts, flights and drains, set against each"
    " other.\n\nExample: planner ledger status --aircraft thornlea-t4"
)
app.add_typer(ledger_add.app, name="add")
app.command("correct")(ledger_add.correct)


@app.command("list")
@reading
def list_(
    held: HeldLedger,
    /,
    everything: Annotated[
        bool, typer.Option("--all", help="Also the entries that were corrected or taken out.")
    ] = False,
) -> None:
    """List the entries in order of time.

    Example: planner ledger list --aircraft thornlea-t4 --all
    """
    _listed(held, held.entries if everything else held.alive)


def _listed(held: HeldLedger, rows: Sequence[Stored]) -> None:
    """Entries in the order given."""
    from planner.logbook.ledger.kept.exchange import to_json
    from planner.views.records import ledger_text

    if held.json:
        print_json(to_json(held.record.name, rows))
    else:
        counting = frozenset(each.entry.uid for each in held.alive)
        ledger_text.render_list(held.record, rows, counting, held.display, console())


@app.command()
@reading
def history(
    held: HeldLedger,
    /,
    number: Annotated[int, typer.Argument(help="The number of the entry, as listed.", metavar="NUMBER")],
) -> None:
    """Show an entry with all its corrections, the first one first.

    Example: planner ledger history 10 --aircraft thornlea-t4
    """
    from planner.logbook.ledger import correcting

    chain = correcting.history(held.entries, number)
    if not chain:
        message, hint = f"there is no entry {number}", "see: planner ledger list --all"
        raise refuse_option("NUMBER", "ledger-number", message, hint=hint)
    _listed(held, chain)


@app.command()
@reading
def status(held: HeldLedger, /) -> None:
    """Show the usable fuel aboard by every source, which one is the odd one out, which entries cannot
    be right, and what to reckon with. Exit code 1 when sources disagree or an entry is in doubt.

    Example: planner ledger status --aircraft thornlea-t4
    """
    from planner.logbook.ledger.account import account
    from planner.logbook.ledger.agree import compare
    from planner.logbook.ledger.balance import stages
    from planner.logbook.ledger.burned import burn_findings, learn
    from planner.logbook.ledger.contents import contents, in_the_way
    from planner.logbook.ledger.entries import grade_words, unusable_grades
    from planner.logbook.ledger.suspects import late, suspects, unsettled
    from planner.quantities.errors import Finding
    from planner.views.records import ledger_text

    record, alive = held.record, held.alive
    found = stages(record, alive)
    if not found:
        message = f"the ledger of {record.name} has no entry that counts"
        raise refuse_option("--aircraft", "ledger-empty", message, "needed entries", "planner ledger add")
    wrong = grade_words(record, unusable_grades(record, alive))
    grades = tuple(
        Finding("ledger-grade", words, "needed tanks drained of it", severity="notice").at("ledger", 1, 1)
        for words in wrong
    )
    whole, now = account(record, alive), contents(record, held.entries)
    doubts = unsettled(suspects(record, alive, whole))
    told = (*(each.finding() for each in doubts), *late(record, alive))
    findings = (*grades, *told, *burn_findings(learn(found, whole.flow), record))
    if not isinstance(now, str) and in_the_way(now, doubts) is not None:
        held_back = "no plan takes these quantities for endurance until it is settled which entry is wrong"
        hint = "dip every tank, or correct the entry"
        findings = (Finding("ledger-held-back", held_back, hint=hint, severity="notice"), *findings)
    if held.json:
        print_json(ledger_text.status_json(record, found[-1], now, findings))
    else:
        ledger_text.render_status(record, found[-1], now, findings, held.display, console())
    raise ended(compare(found[-1].sources).agree and not (wrong or doubts))


@app.command()
@reading
def reconcile(held: HeldLedger, /) -> None:
    """Set log, dips, gauges and tickets against each other after every movement of fuel, adjust all entries
    together, and name those that cannot be right. Exit code 1 when any disagree.

    Example: planner ledger reconcile --aircraft thornlea-t4
    """
    from planner.logbook.ledger.account import account
    from planner.logbook.ledger.agree import compare
    from planner.logbook.ledger.balance import stages
    from planner.logbook.ledger.suspects import late, suspects
    from planner.views.records.ledger import reconcile_text

    record, alive = held.record, held.alive
    found, whole = stages(record, alive), account(record, alive)
    doubts = suspects(record, alive, whole)
    findings = (*(each.finding() for each in doubts), *late(record, alive))
    if held.json:
        print_json(reconcile_text.reconcile_json(record, found, whole, findings))
    else:
        reconcile_text.render_reconcile(record, found, whole, findings, held.display, console())
    agree = all(compare(stage.sources).agree for stage in found)
    raise ended(agree and not doubts)


@app.command()
@reading
def burn(held: HeldLedger, /) -> None:
    """Show what was burnt between known quantities, the flow learned from all entries, checked by these
    burns, and where a plan was missed.

    Example: planner ledger burn --aircraft thornlea-t4
    """
    from planner.logbook.ledger.burned import burn_findings, learned_of
    from planner.views.records.ledger import burn_text

    learned = learned_of(held.record, held.alive)
    findings = burn_findings(learned, held.record)
    if held.json:
        print_json(burn_text.burn_json(held.record, learned, findings))
    else:
        burn_text.render_burn(held.record, learned, findings, held.display, console())


def _no_kind(out: Path, code: str, needed: str) -> InputRefused:
    return refuse_option(str(out), code, f"'{out.suffix}' is not a kind of file this writes", needed)


@app.command()
def sheet(
    out: Annotated[
        Path, typer.Argument(help="The .html file to write; it must not exist.", metavar="OUT.html")
    ],
    aircraft: Annotated[
        list[str], typer.Option("--aircraft", help="Id or path of the aircraft's profile; repeat for others.")
    ],
    file: LedgerFile = None,
    units: Units = "metric",
) -> None:
    """Write the ledger to print, a page a month: the balance of every tank drawn with its uncertainty beside
    the list of entries. Exit code 1 when an entry is in doubt.

    Example: planner ledger sheet fuel-ledger.html --aircraft thornlea-t4
    """
    from planner.logbook.ledger.account import account
    from planner.logbook.ledger.entries import effective
    from planner.logbook.ledger.suspects import suspects
    from planner.quantities.files import write_new
    from planner.views.records.ledger_sheet import LedgerPages, written

    if out.suffix.lower() != ".html":
        raise _no_kind(out, "ledger-sheet", "needed OUT.html")
    if file is not None and len(aircraft) > 1:
        raise refuse_option("--file", "ledger-sheet", "one file is one aircraft's", "needed one --aircraft")
    parts = []
    for name in aircraft:
        record, held = held_in(name, file)
        alive = effective(held)
        whole = account(record, alive)
        doubts = suspects(record, alive, whole)
        parts.append(LedgerPages(aircraft=record, held=held, account=whole, doubts=doubts))
    shown = display(units, parts[0].aircraft)
    write_new(out, written(parts, shown).encode())
    note(f"{out} written")
    raise ended(not any(part.doubts for part in parts))


@app.command()
def export(
    out: Annotated[
        Path, typer.Argument(help="The file to write, .csv or .json; it must not exist.", metavar="FILE")
    ],
    aircraft: Of,
    file: LedgerFile = None,
    json: Json = False,
) -> None:
    """Write every entry, corrected ones too, as CSV or JSON. An existing file is never overwritten.

    Example: planner ledger export fuel-log.csv --aircraft thornlea-t4
    """
    from json import dumps

    from planner.logbook.ledger.kept.exchange import to_csv, to_json
    from planner.quantities.files import write_new

    if out.suffix.lower() not in (".csv", ".json"):
        raise _no_kind(out, "ledger-export", "needed a name ending in .csv or .json")
    record, held = held_in(aircraft, file)
    text = (
        to_csv(record.name, held)
        if out.suffix.lower() == ".csv"
        else dumps(to_json(record.name, held), indent=2, ensure_ascii=False) + "\n"
    )
    write_new(out, text.encode())
    if json:
        told = {"aircraft": record.name, "file": str(out), "entries": len(held)}
        print_json({"schema": "planner/ledger-export/1", **told})
    note(f"{out}: {len(held)} entries written")


@app.command("import")
def import_(
    source: Annotated[
        Path, typer.Argument(help="A .csv or .json file that 'planner ledger export' wrote.", metavar="FILE")
    ],
    aircraft: Of,
    file: LedgerFile = None,
    json: Json = False,
) -> None:
    """Add the entries of an exported ledger that are not there yet: all or none.

    Example: planner ledger import docs/ledgers/thornlea-t4.csv --aircraft thornlea-t4
    """
    from planner.logbook.ledger.entries import tanks_known
    from planner.logbook.ledger.kept.exchange import read_file, recomputed, unknown_to
    from planner.records.store import load_aircraft

    entries = read_file(source, load_aircraft(aircraft).record.name)  # before a ledger is made for it
    with opened_ledger(aircraft, file, create=True) as (record, ledger):
        fresh = unknown_to(ledger.entries(), entries, source)
        tanks_known(record, fresh)
        recomputed(record, fresh, source)
        numbers = ledger.add(fresh)
    if json:
        told = {"aircraft": record.name, "added": len(fresh), "there_before": len(entries) - len(fresh)}
        print_json({"schema": "planner/ledger-import/1", **told})
    moved = [
        f"{each.number} is {number} here"
        for each, number in zip(fresh, numbers, strict=True)
        if each.number not in (0, number)
    ]
    if moved:
        note(f"numbers that were taken: {', '.join(moved)}")
    note(f"{len(fresh)} entries added, {len(entries) - len(fresh)} were there before")
