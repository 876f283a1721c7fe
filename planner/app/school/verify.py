"""`planner verify`: published cases put through the engine again, side by side."""

from __future__ import annotations

from planner.app.common import Json, console, ended, print_json


def verify(json: Json = False) -> None:
    """Re-run the published cases: source, published figure, ours, difference, tolerance. Exit code 1 on any
    miss.

    Example: planner verify
    """
    from planner.sureness.verify_cases import run_cases
    from planner.views.records import verify_text

    results = run_cases()
    print_json(verify_text.cases_json(results)) if json else verify_text.render_cases(results, console())
    raise ended(all(result.within for result in results))
