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


_HOW: Final[dict[str, Tag]] = {
    "read": "read in the source",
    "copy": "second-hand copy",
    "memory": "from memory",
    "none": "no published source",
}
# A row is: key | how it was read, and `later` where it was looked up, or looked up again, on the later day |
# title | clause. Where one source was read in part only, that is said of its weaker part or the clause says
# which part was read.
_ROWS: Final = """\
tanaka-2001 | copy | Tanaka et al., Metrologia 38 (2001) 301 | density of air-free water, 0 to 40 degC
masui-1995 | read | Masui, Fujii and Takenaka, Metrologia (1995) | measured density of water at 16 degC
oiml-r111 | copy | OIML R 111-1 | E.3, density of moist air
oiml-d28 | memory | OIML D 28 | conventional mass: weights 8000 kg/m3, air 1.2 kg/m3
nist-sop-2 | copy | NIST SOP 2 | Appendix B, air density
api-mpms-11.1 | copy | API MPMS 11.1 | Tables 53B and 54B, generalised products, 15 degC base
astm-d1250 | copy | ASTM D1250 / IP 200 | worked examples
measurement-canada-54b | read | Measurement Canada inspection tables | Table 54B
iso-3507 | memory | ISO 3507 | names the density bottle; not opened past its first page
iso-4787 | memory | ISO 4787 | names the volume from weighed water; not opened past its first page
iso-3838 | memory | ISO 3838 | names the density bottle method; not opened past its first page
astm-d1217 | memory | ASTM D1217 | names the pycnometer method; not opened past its first page
iso-20461 | read | ISO/TR 20461, as applied in accredited certificates | Z factor; the certificates were read,
    not the report
faa-h-8083-1 | memory | FAA-H-8083-1 | percent of mean aerodynamic chord
faa-h-8083-1a | read | FAA-H-8083-1A | ch. 3; inputs read, tailwheel answers from memory
faa-h-8083-1b | read | FAA-H-8083-1B | ch. 2, lever; ballast inputs read, its answer from memory; multi-engine
    example from a copy of the text
faa-h-8083-25 | read | FAA-H-8083-25 | loading computations; totals read, several arms and answers from memory
faa-h-8083-30 | read | FAA-H-8083-30 | ch. 4; standard figures read, fig. 4-20 inputs second-hand
ac-43.13-1b | read, later | FAA AC 43.13-1B | ch. 10, figs 10-10, 10-11, 10-13 and 10-14, par. 10-2; figs
    10-5, 10-6 and 10-12 not read
faa-pilot-test | copy, later | FAA pilot knowledge tests | weight and balance items, as quoted with worked
    answers on study pages
faa-mechanic-test | copy, later | FAA general mechanic test | weight and balance items, as quoted with worked
    answers on study pages
european-mass-exam | copy, later | European mass and balance examination | an item on the MAC, as worked on a
    public pilots' forum
ballast-arm-item | copy | worked example of a ballast arm | quoted by a third party
tp-2228 | read | Transport Canada TP 2228 | time in tanks
jcgm-100 | memory | JCGM 100 | clause 5, propagation of uncertainty; annex G, coverage
quam-a1 | read | EURACHEM/CITAC QUAM | example A1
nist-strd-norris | read | NIST StRD, Norris data set | certified linear regression
16-cfr-500.19 | copy, later | 16 CFR 500.19 | (a), conversion factors, as a law school's page quotes them;
    without the imperial gallon
cipm-2007 | copy, later | CIPM-2007, Metrologia 45 (2008) 149 | saturation vapour pressure of water, as
    several programs quote it
nist-sp-811 | memory | NIST SP 811 | Appendix B, exact conversion factors
gm1-ncc-pol-105 | read | GM1 NCC.POL.105, UK copy | (g), standard fuel and oil densities
ncc-pol-105 | read | NCC.POL.105, UK copy | standard mass tables
amc1-cat-pol-mab-100 | read | AMC1 CAT.POL.MAB.100 | (b) and (e)
mil-hdbk-1022a | read | MIL-HDBK-1022A | turbine fuel density and appearance
en-228 | read | EN 228 | density at 15 degC
api-ei-1542 | read | API/EI 1542 | grade colours
14-cfr-91.151 | copy, later | 14 CFR 91.151 | fuel for VFR flight
14-cfr-91.167 | copy | 14 CFR 91.167 | fuel for IFR flight
14-cfr-23.1337 | memory | 14 CFR 23.1337 | (b)(1), the gauge reads zero at unusable fuel
amc1-nco-op-125 | copy, later | AMC1 NCO.OP.125 | (b), aeroplanes: final reserves, also of a local flight, as
    an authority's page quotes them
nco-op-126 | copy, later | NCO.OP.126 | (a), helicopters, in a UK consolidation of 2020-11-21
uk-nco-op-125 | memory | UK NCO.OP.125 | as changed 2025-10-30
car-602.88 | read | Canadian CAR 602.88 | (3) read, (4) second-hand
part-91-mos-19 | read | Australian Part 91 MOS | ch. 19; the night figure from memory
nz-car-91.305 | read | New Zealand CAR 91.305 | (a) read, (b) second-hand
nz-car-91.403 | read, later | New Zealand CAR 91.403 | fuel for IFR flights, on the authority's page
icao-annex-6-ii | copy, later | ICAO Annex 6 Part II | 2.2.3.6, in a summary
icao-annex-6-iii | memory, later | ICAO Annex 6 Part III | Section III not opened; 2.3.6 of Section II read in
    a copy
jced-2014 | read | J. Chem. Eng. Data (2014) | abstract: densities of n-heptane and 2,2,4-trimethylpentane
tsb-a04h0001 | copy | TSB Canada A04H0001 (2004) | real and standard occupant masses
ntsb-soldotna-2013 | copy | NTSB report, Soldotna (2013) | mass and aft CG
aaib-g-bwev | copy | UK AAIB report G-BWEV (2007) | fuel log against dip readings
aaib-11-2020 | copy | UK AAIB Bulletin 11/2020 | dipstick of another type
atsb-ab-2021-022 | copy | ATSB AB-2021-022 | fuel needed and fuel aboard
atsb-ao-2016-087 | copy | ATSB AO-2016-087 | fuel needed and fuel aboard
atsb-ao-2014-168 | copy | ATSB AO-2014-168 | measured burn above plan
canada-1983-report | copy | Canadian inquiry report (1983) | lb/L used as kg/L
narasimhan-2000 | memory | Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000) |
    example 1.1, six flows round a bypass
baarda-1968 | memory | Baarda, A testing procedure for use in geodetic networks (1968) | data snooping
common-practice | none | common practice | no published source
"""


def _source(row: str) -> Source:
    key, told, title, clause = row.split(" | ")
    how, _, later = told.partition(", ")
    return Source(
        key=key, title=title, clause=clause, read=TAKEN_DOWN_LATER if later else TAKEN_DOWN, tag=_HOW[how]
    )


_ALL: Final = [_source(row) for row in _ROWS.replace("\n    ", " ").splitlines()]
SOURCES: Final[dict[str, Source]] = {source.key: source for source in _ALL}


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
