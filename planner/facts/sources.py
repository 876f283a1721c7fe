"""Where every figure of the program comes from, and how far that source was really read.

A key names one source; modules write it beside each figure and `cite` prints it. `read` is the day
the figures were taken down for this program. `tag` is the honest part: a source marked "from
memory" was not opened on that day, and no check rests on such a source alone.
"""

from __future__ import annotations

from typing import Final, Literal

from planner.quantities.frozen import frozen

Tag = Literal["read in the source", "second-hand copy", "from memory", "no published source"]

TAKEN_DOWN: Final = "2026-11-25"  # ISO date of the first edition of the list
TAKEN_DOWN_LATER: Final = "2026-11-28"  # and of what was looked up since


@frozen
class Source:
    """One source: its key, title, the clause or page used, the day it was taken down, and how it was read.

    "read in the source" covers the original or a faithful copy of it; "second-hand copy" is a third
    party quoting it; "from memory" was not opened; "no published source" is trade practice.
    """

    key: str
    title: str
    clause: str
    read: str
    tag: Tag


_READ: Final[Tag] = "read in the source"
_COPY: Final[Tag] = "second-hand copy"
_MEMORY: Final[Tag] = "from memory"

# Where one source was read in part only, the tag is that of its weaker part or the clause says which part was
# read.
_ROWS: Final[tuple[tuple[str, str, str, Tag], ...]] = (
    (
        "tanaka-2001",
        "Tanaka et al., Metrologia 38 (2001) 301",
        "density of air-free water, 0 to 40 degC",
        _COPY,
    ),
    (
        "masui-1995",
        "Masui, Fujii and Takenaka, Metrologia (1995)",
        "measured density of water at 16 degC",
        _READ,
    ),
    ("oiml-r111", "OIML R 111-1", "E.3, density of moist air", _COPY),
    ("oiml-d28", "OIML D 28", "conventional mass: weights 8000 kg/m3, air 1.2 kg/m3", _MEMORY),
    ("nist-sop-2", "NIST SOP 2", "Appendix B, air density", _COPY),
    ("api-mpms-11.1", "API MPMS 11.1", "Tables 53B and 54B, generalised products, 15 degC base", _COPY),
    ("astm-d1250", "ASTM D1250 / IP 200", "worked examples", _COPY),
    ("measurement-canada-54b", "Measurement Canada inspection tables", "Table 54B", _READ),
    ("iso-3507", "ISO 3507", "names the density bottle; not opened past its first page", _MEMORY),
    ("iso-4787", "ISO 4787", "names the volume from weighed water; not opened past its first page", _MEMORY),
    ("iso-3838", "ISO 3838", "names the density bottle method; not opened past its first page", _MEMORY),
    ("astm-d1217", "ASTM D1217", "names the pycnometer method; not opened past its first page", _MEMORY),
    (
        "iso-20461",
        "ISO/TR 20461, as applied in accredited certificates",
        "Z factor; the certificates were read, not the report",
        _READ,
    ),
    ("faa-h-8083-1", "FAA-H-8083-1", "percent of mean aerodynamic chord", _MEMORY),
    ("faa-h-8083-1a", "FAA-H-8083-1A", "ch. 3; inputs read, tailwheel answers from memory", _READ),
    (
        "faa-h-8083-1b",
        "FAA-H-8083-1B",
        (
            "ch. 2, lever; ballast inputs read, its answer from memory; multi-engine example from a copy of"
            " the text"
        ),
        _READ,
    ),
    (
        "faa-h-8083-25",
        "FAA-H-8083-25",
        "loading computations; totals read, several arms and answers from memory",
        _READ,
    ),
    ("faa-h-8083-30", "FAA-H-8083-30", "ch. 4; standard figures read, fig. 4-20 inputs second-hand", _READ),
    (
        "ac-43.13-1b",
        "FAA AC 43.13-1B",
        "ch. 10, figs 10-10, 10-11, 10-13 and 10-14, par. 10-2; figs 10-5, 10-6 and 10-12 not read",
        _READ,
    ),
    (
        "faa-pilot-test",
        "FAA pilot knowledge tests",
        "weight and balance items, as quoted with worked answers on study pages",
        _COPY,
    ),
    (
        "faa-mechanic-test",
        "FAA general mechanic test",
        "weight and balance items, as quoted with worked answers on study pages",
        _COPY,
    ),
    (
        "european-mass-exam",
        "European mass and balance examination",
        "an item on the MAC, as worked on a public pilots' forum",
        _COPY,
    ),
    ("ballast-arm-item", "worked example of a ballast arm", "quoted by a third party", _COPY),
    ("tp-2228", "Transport Canada TP 2228", "time in tanks", _READ),
    ("jcgm-100", "JCGM 100", "clause 5, propagation of uncertainty; annex G, coverage", _MEMORY),
    ("quam-a1", "EURACHEM/CITAC QUAM", "example A1", _READ),
    ("nist-strd-norris", "NIST StRD, Norris data set", "certified linear regression", _READ),
    (
        "16-cfr-500.19",
        "16 CFR 500.19",
        "(a), conversion factors, as a law school's page quotes them; without the imperial gallon",
        _COPY,
    ),
    (
        "cipm-2007",
        "CIPM-2007, Metrologia 45 (2008) 149",
        "saturation vapour pressure of water, as several programs quote it",
        _COPY,
    ),
    ("nist-sp-811", "NIST SP 811", "Appendix B, exact conversion factors", _MEMORY),
    ("gm1-ncc-pol-105", "GM1 NCC.POL.105, UK copy", "(g), standard fuel and oil densities", _READ),
    ("ncc-pol-105", "NCC.POL.105, UK copy", "standard mass tables", _READ),
    ("amc1-cat-pol-mab-100", "AMC1 CAT.POL.MAB.100", "(b) and (e)", _READ),
    ("mil-hdbk-1022a", "MIL-HDBK-1022A", "turbine fuel density and appearance", _READ),
    ("en-228", "EN 228", "density at 15 degC", _READ),
    ("api-ei-1542", "API/EI 1542", "grade colours", _READ),
    ("14-cfr-91.151", "14 CFR 91.151", "fuel for VFR flight", _COPY),
    ("14-cfr-91.167", "14 CFR 91.167", "fuel for IFR flight", _COPY),
    ("14-cfr-23.1337", "14 CFR 23.1337", "(b)(1), the gauge reads zero at unusable fuel", _MEMORY),
    (
        "amc1-nco-op-125",
        "AMC1 NCO.OP.125",
        "(b), aeroplanes: final reserves, also of a local flight, as an authority's page quotes them",
        _COPY,
    ),
    ("nco-op-126", "NCO.OP.126", "(a), helicopters, in a UK consolidation of 2020-11-21", _COPY),
    ("uk-nco-op-125", "UK NCO.OP.125", "as changed 2025-10-30", _MEMORY),
    ("car-602.88", "Canadian CAR 602.88", "(3) read, (4) second-hand", _READ),
    ("part-91-mos-19", "Australian Part 91 MOS", "ch. 19; the night figure from memory", _READ),
    ("nz-car-91.305", "New Zealand CAR 91.305", "(a) read, (b) second-hand", _READ),
    ("nz-car-91.403", "New Zealand CAR 91.403", "fuel for IFR flights, on the authority's page", _READ),
    ("icao-annex-6-ii", "ICAO Annex 6 Part II", "2.2.3.6, in a summary", _COPY),
    (
        "icao-annex-6-iii",
        "ICAO Annex 6 Part III",
        "Section III not opened; 2.3.6 of Section II read in a copy",
        _MEMORY,
    ),
    (
        "jced-2014",
        "J. Chem. Eng. Data (2014)",
        "abstract: densities of n-heptane and 2,2,4-trimethylpentane",
        _READ,
    ),
    ("tsb-a04h0001", "TSB Canada A04H0001 (2004)", "real and standard occupant masses", _COPY),
    ("ntsb-soldotna-2013", "NTSB report, Soldotna (2013)", "mass and aft CG", _COPY),
    ("aaib-g-bwev", "UK AAIB report G-BWEV (2007)", "fuel log against dip readings", _COPY),
    ("aaib-11-2020", "UK AAIB Bulletin 11/2020", "dipstick of another type", _COPY),
    ("atsb-ab-2021-022", "ATSB AB-2021-022", "fuel needed and fuel aboard", _COPY),
    ("atsb-ao-2016-087", "ATSB AO-2016-087", "fuel needed and fuel aboard", _COPY),
    ("atsb-ao-2014-168", "ATSB AO-2014-168", "measured burn above plan", _COPY),
    ("canada-1983-report", "Canadian inquiry report (1983)", "lb/L used as kg/L", _COPY),
    (
        "narasimhan-2000",
        "Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000)",
        "example 1.1, six flows round a bypass",
        _MEMORY,
    ),
    (
        "baarda-1968",
        "Baarda, A testing procedure for use in geodetic networks (1968)",
        "data snooping",
        _MEMORY,
    ),
    ("common-practice", "common practice", "no published source", "no published source"),
)

# Looked up, or looked up again, on the later day.
_LATER: Final = frozenset(
    (
        "14-cfr-91.151",
        "16-cfr-500.19",
        "ac-43.13-1b",
        "amc1-nco-op-125",
        "cipm-2007",
        "european-mass-exam",
        "faa-mechanic-test",
        "faa-pilot-test",
        "icao-annex-6-ii",
        "icao-annex-6-iii",
        "nco-op-126",
        "nz-car-91.403",
    )
)

SOURCES: Final[dict[str, Source]] = {
    key: Source(
        key=key, title=title, clause=clause, read=TAKEN_DOWN_LATER if key in _LATER else TAKEN_DOWN, tag=tag
    )
    for key, title, clause, tag in _ROWS
}


def cite(key: str) -> str:
    """A short citation: title, clause and how the source was read.

    Parameters: `key`, a key of SOURCES.
    Returns text such as `14 CFR 91.151, fuel for VFR flight (second-hand copy)`.
    Raises KeyError for a key that is not in the list.
    """
    source = SOURCES[key]
    if source.tag == "no published source":
        return f"{source.title}, {source.tag}"
    return f"{source.title}, {source.clause} ({source.tag})"
