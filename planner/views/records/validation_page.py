"""Write docs/validation.md: `python -m planner.views.records.validation_page > docs/validation.md`."""

import sys

from planner.sureness.verify_cases import run_cases
from planner.views.records.verify_text import validation_page

if __name__ == "__main__":
    sys.stdout.write(validation_page(run_cases()))
