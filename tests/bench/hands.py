"""The demo's drives on six surveyed hands:  python -m tests.bench.hands [STUDY [DRIVES.toml [ROUNDS]]]

Every drive stays as it is; the hand round it changes.  With ROUNDS a plain search of so many rounds is
made on each hand, to tell whether a drive made for it would fit.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from explorer.brief.builds import Build, builds_of
from explorer.brief.hands import HANDS, SOURCE, Hand, own_hand
from explorer.brief.parse import parse_file
from explorer.brief.read import read_study
from explorer.drives.assemble import ARCHITECTURES, Space, tag
from explorer.scoring.hands import HandShelf, OnHand, hand_shelves, on_hands
from tests.bench.simple_search import search

ROOT = Path(__file__).parents[2]
STUDY = ROOT / "studies" / "orchard"
DRIVES = ROOT / "tests" / "build" / "drives.toml"
SHOWN = 3  # limits named in a line


def sized(own: Hand, hand: Hand) -> str:
    return (
        f"  {hand.name:12s} {hand.length:4.0f} x {hand.breadth:3.0f} mm, palm {hand.palm:3.0f};"
        f" {hand.length / own.length:.2f} x the length, {hand.breadth / own.breadth:.2f} x the breadth"
    )


def lost(shelves: Sequence[HandShelf]) -> Iterator[str]:
    for s in shelves:
        for grip in s.lost:
            yield f"  {s.hand.name}: cannot make {grip.grip or 'its grips'}: {grip.why}"


def told(found: OnHand) -> str:
    """One hand in a line: whether the drive fits, its weakest grip, and what is in the way."""
    grip = "-" if found.grip is None else f"{found.grip:.2f}"
    missing = [f"{m.limit} {m.slack:.3g} {m.unit}" for m in found.missing[:SHOWN]]
    more = len(found.missing) - SHOWN
    if more > 0:
        missing.append(f"{more} more")
    gone = [f"without {name or 'a place'}" for name in dict.fromkeys(x.grip for x in found.lost)]
    word = "fits" if found.fits else "does not fit"
    return f"  {found.hand.name:12s} {word:12s} {grip:>5s}  {', '.join([*gone, *missing])}".rstrip()


def drive_lines(build: Build, rows: Sequence[OnHand]) -> list[str]:
    fit = sum(r.fits for r in rows)
    return [
        f"{build.name} ({build.architecture}): fits {fit} of {len(rows)}",
        "  hand         verdict      grip x need, missing",
        *(told(r) for r in rows),
    ]


def made_for(s: HandShelf, rounds: int) -> str:
    """Which architectures a plain search finds a fitting drive of, on this hand."""
    if s.shelf is None:
        return f"  {s.hand.name:12s} no grip can be made"
    out = []
    for architecture in ARCHITECTURES:
        found = search(Space(s.shelf, architecture), rounds, 1)
        out.append(f"{tag(architecture)} {'fits' if found.violation[0] <= 0.0 else 'none'}")
    return f"  {s.hand.name:12s} {', '.join(out)}"


def main(study: str = str(STUDY), drives: str = str(DRIVES), rounds: str = "0") -> int:
    """Print the hands, the grips that are lost, and a table for each drive."""
    read = read_study(Path(study))
    own = own_hand(read.brief)
    shelves = hand_shelves(read.brief, read.stock, (own, *HANDS))
    print(f"Sizes: {SOURCE}.\nThe wrist's pull, the objects and the drive's own sizes stay.\n")
    print("\n".join(sized(own, s.hand) for s in shelves))
    print("\n".join(lost(shelves)) or "  Every hand can make every grip.")
    for build in (*builds_of(parse_file(Path(drives))), *read.builds):
        print("\n" + "\n".join(drive_lines(build, on_hands(shelves, build))))
    if int(rounds) > 0:
        print(f"\nDrives made for each hand ({rounds} rounds of a plain search)")
        for s in shelves:
            print(made_for(s, int(rounds)), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:4]))
