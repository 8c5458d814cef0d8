"""Reads the numbers of a setup back from the texts that people see: each statement of a page by its own words."""

from __future__ import annotations

import html
import re
from typing import Final

N: Final = r"(\d+(?:\.\d+)?)"
RANGE: Final = rf"{N}(?:–{N})?"

#: Where each thing is said, by its name: the groups of every pattern are its numbers in one order.
SAID: Final[dict[str, tuple[str, ...]]] = {
    "psi": (
        rf"Start pressure {N} psi {N} bar",
        rf"Start pressure [\d.]+ psi \([\d.]+ bar\) {N} psi",
        rf"Set {N} psi \({N} bar\)\.",
        rf"Set {N} psi again\.",
        rf"{N} psi in the range",
        rf"{N} psi \(gauge, fully extended",
        rf"Pressure of the (?:fork|shock) {N} psi",
        rf"(?:into|out of) the (?:fork|shock), to {N} psi",
        rf"Done, ride it: at {N} psi",
        rf"{N} psi is as close as this",
        rf"{N} psi {N} bar likely between",
        rf"{N} psi {N} bar likely [\d.]+ psi or more",
        rf"{N} psi {N} bar likely [\d.]+–[\d.]+ psi",
        rf"{N} psi {N} bar limited",
        rf"{N} psi {N} bar [\d.]+ psi or more",
        rf"Pressure {N} psi \({N} bar\)",
        rf"estimate: set {N} psi",
        rf"Set no more than {N} psi",
    ),
    "range_psi": (
        rf"in the range {RANGE} psi",
        rf"needs? {RANGE} psi \({RANGE} bar\)",
        rf"like this need {N} to {N} psi",
        rf"likely between {N} and {N} psi",
        rf"bar likely {RANGE} psi(?! or more)",
        rf"needs? {N} psi or more\. Never pump above {N} psi",
        rf"need {N} psi or more, some of them more than the maximum of {N} psi",
    ),
    "least_psi": (rf"needs? {N} psi or more", rf"bar {N} psi or more", rf"likely {N} psi or more"),
    "target": (
        rf"Target sag (?:gap from seal to O-ring after you step off(?:, wheel lifted)? )?{N} mm",
        rf"[Tt]he target is {N} mm",
        rf"O-ring is {N} mm from the seal",
        rf"the target of {N} mm",
    ),
    "bench_target": (
        rf"on the ride; {N} mm where it was set",
        rf"where set: {N} mm",
        rf"on the ride and reads {N} mm where it was set",
        rf"Measured where it was set, that reads {N} mm",
    ),
    "bench_expected": (
        rf"where it was set, it reads about {N} mm",
        rf"Measured where it was set, the (?:fork|shock) should read about {N} mm",
    ),
    "target_percent": (rf"Target sag {N} mm \(?{N} %", rf"[Tt]arget sag of {N} % (?:of the|was)"),
    "expected": (
        rf"Expected sag {N} mm",
        rf"Sag should then be {N} mm",
        rf"sags about {N} mm",
        rf"expect about {N} mm",
    ),
    "sag_range": (
        rf"[Aa]t this pressure, expect {RANGE} mm",
        rf"likely {N} to {N}\b",
        rf"Likely range: {RANGE} mm",
    ),
    "rebound": (
        rf"Rebound(?: of the (?:fork|shock))? {N} clicks? out of {N}, from fully closed",
        rf"Rebound: turn gently to fully closed\.(?: Fork:)? Open {N} clicks? of {N}",
        rf"Rebound: turn gently to fully closed\.(?: Fork: Open \d+ clicks? of \d+\.)? Shock: Open {N} clicks? of {N}",
        rf"Rebound {N} of {N} clicks? out",
        rf"Rebound {N} clicks? out from fully closed, of {N}",
        rf"Rebound clicks out from fully closed {N} of {N}",
        rf"clicks (?:out|in) \((?:quicker|slower)\), to {N} of {N} clicks? out",
        rf"Rebound stays at {N} of {N} clicks? out",
        rf"Rebound, clicks out [\d]+ of [\d]+ {N} of {N}",
        rf"with it, from \d+ to {N} of {N} clicks? out",
    ),
    "compression": (
        rf"Compression(?: of the (?:fork|shock))? {N} clicks? out of {N}, from fully closed",
        rf"Compression, from fully closed {N} clicks? out, of {N}",
        rf"Compression: turn gently to fully closed\.(?: Fork:)? Open {N} clicks? of {N}",
        rf"Compression: turn gently to fully closed\.(?: Fork: Open [\d of clicks]+\.)? Shock: Open {N} clicks? of {N}",
        rf"Compression {N} of {N} clicks? out",
        rf"Compression clicks out from fully closed {N} of {N}",
        rf"Compression, clicks out [\d]+ of [\d]+ {N} of {N}",
    ),
    "maximum": (
        rf"Maximum pressure {N} psi",
        rf"maximum of {N} psi",
        rf"entered\. {N} psi is our cautious",
        rf"do not go above {N} psi, our",
        rf"never pump above {N} psi:",
        rf"never above {N} psi",
    ),
}
#: The large numbers of the setup's page, by the same names.
LARGE: Final = {
    "psi": SAID["psi"][0],
    "target": SAID["target"][0],
    "rebound": rf"Rebound {N} clicks? out from fully closed, of {N}",
    "compression": rf"Compression, from fully closed {N} clicks? out, of {N}",
}
_PAIR: Final = re.compile(rf"(?<![–\d.]){N} psi \(?{N} bar")
_RANGES: Final = re.compile(rf"{N}–{N} psi \({N}–{N} bar\)")


def text_of(page: str) -> str:
    """Return a page's text without tags, spaces made plain."""
    body = page.partition("<main")[2] or page
    plain = html.unescape(re.sub(r"<[^>]+>", " ", body)).replace("\u00a0", " ").replace("\u00ad", "")
    return re.sub(r"\s+([.,)])", r"\1", " ".join(plain.split()))


def find(name: str, text: str) -> list[tuple[str, tuple[str, ...]]]:
    """Return every statement of one thing: its pattern, and its numbers as they stand."""
    return [
        (pattern, tuple(part for part in found.groups() if part is not None))
        for pattern in SAID[name]
        for found in re.finditer(pattern, text)
    ]


def pairs(text: str) -> list[tuple[str, str]]:
    """Return every psi with the bar beside it."""
    ranges = [group for found in _RANGES.findall(text) for group in ((found[0], found[2]), (found[1], found[3]))]
    return [*_PAIR.findall(text), *ranges]
