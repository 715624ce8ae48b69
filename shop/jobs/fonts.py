"""The one type family, cut from a variable font for pages (woff2, split by script) and for paper (whole TrueType)."""

import json
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from fontTools import merge, subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

from shop.jobs.refusals import Refusal

PACKAGE = Path("node_modules") / "@fontsource-variable" / "noto-sans"
WEIGHTS = (400, 600, 800)
WIDTH = 87.5  # semi-condensed: large figures, narrow words
SCRIPTS = ("latin", "latin-ext", "greek", "cyrillic")
RECIPE = 1  # raise it when this file makes other fonts of the same package
STAMP = "built.json"
LICENCE = "LICENCE.txt"
# A PDF library lays out no features, and merging without them keeps every glyph's name plain.
NOT_ON_PAPER = ("GSUB", "GPOS", "GDEF")


@dataclass(frozen=True)
class Cutting:
    """Where the package is and where the fonts go."""

    browser: Path
    target: Path

    @property
    def package(self) -> Path:
        return self.browser / PACKAGE


def paper_name(weight: int) -> str:
    return f"racewright-{weight}.ttf"


def page_name(weight: int, script: str) -> str:
    return f"racewright-{weight}-{script}.woff2"


def names() -> list[str]:
    """Every file that a finished build holds, beside its stamp."""
    pages = [page_name(weight, script) for weight in WEIGHTS for script in SCRIPTS]
    return [*(paper_name(weight) for weight in WEIGHTS), *pages, LICENCE]


def build(cutting: Cutting) -> bool:
    """Cut all fonts; False if they were there already. Refused (`fonts_not_installed`) without the npm package."""
    stamp = _stamp(cutting)
    if _is_built(cutting.target, stamp):
        return False
    cutting.target.mkdir(parents=True, exist_ok=True)
    for weight in WEIGHTS:
        _cut_weight(cutting, weight)
    (cutting.target / LICENCE).write_text((cutting.package / "LICENSE").read_text())
    (cutting.target / STAMP).write_text(stamp)
    return True


def _stamp(cutting: Cutting) -> str:
    described = cutting.package / "package.json"
    if not described.exists():
        raise Refusal(
            "fonts_not_installed",
            f"{described} is missing: run `npm ci` in {cutting.browser}, then this again.",
        )
    return json.dumps({"package": json.loads(described.read_text())["version"], "recipe": RECIPE})


def _is_built(target: Path, stamp: str) -> bool:
    kept = target / STAMP
    return kept.exists() and kept.read_text() == stamp and all((target / name).exists() for name in names())


def _cut_weight(cutting: Cutting, weight: int) -> None:
    with TemporaryDirectory() as folder:
        parts = []
        for script in SCRIPTS:
            font = _instance(cutting.package, script, weight)
            _save_page(font, cutting.target / page_name(weight, script))
            parts.append(_save_part(font, Path(folder) / f"{script}.ttf"))
        _save_paper(parts, weight, cutting.target / paper_name(weight))


def _instance(package: Path, script: str, weight: int) -> TTFont:
    font = TTFont(package / "files" / f"noto-sans-{script}-wdth-normal.woff2", recalcTimestamp=False)
    instancer.instantiateVariableFont(font, {"wght": weight, "wdth": WIDTH}, inplace=True)
    _rename(font, weight)
    return font


def _rename(font: TTFont, weight: int) -> None:
    """A changed font goes by a name of its own; copyright and licence stay in it."""
    family = f"Racewright {weight}"
    for number, words in ((1, family), (2, "Regular"), (3, family), (4, family), (6, f"Racewright-{weight}")):
        font["name"].setName(words, number, 3, 1, 0x409)
    for number in (16, 17, 21, 22, 25):
        font["name"].removeNames(nameID=number)


def _save_page(font: TTFont, target: Path) -> None:
    options = subset.Options(flavor="woff2", hinting=False, layout_features=["kern", "mark", "mkmk", "ccmp", "locl"])
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=font.getBestCmap().keys())
    cutter.subset(font)
    subset.save_font(font, str(target), options)


def _save_part(font: TTFont, target: Path) -> str:
    font.flavor = None
    for table in NOT_ON_PAPER:
        if table in font:
            del font[table]
    font.save(target)
    return str(target)


def _save_paper(parts: list[str], weight: int, target: Path) -> None:
    merged = merge.Merger().merge(parts)
    _rename(merged, weight)
    merged.save(target)
