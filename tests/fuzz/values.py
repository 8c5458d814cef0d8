"""What Hypothesis puts into a field: nonsense, other scripts, very much, numbers at their limits and in odd dress."""

from __future__ import annotations

from typing import Final

from hypothesis import strategies as st

from setup_rules.types.limits import CORRECTION_LIMITS, LIMITS

ENDS: Final = sorted(
    {end for limit in (*LIMITS.values(), *CORRECTION_LIMITS.values()) for end in (limit.low, limit.high)}
)
NONSENSE: Final = (
    "",
    " ",
    "nan",
    "inf",
    "-inf",
    "1e400",
    "-1e400",
    "1e308",
    "1e-400",
    "9**9**9 kg",
    "1,234",
    "12,5 st",
    "180 lb",
    "6 bar",
    "-0",
    "0x1F",
    "١٢٣",
    "½",
    "1" * 5_000,
    "0." + "0" * 400 + "1",
    "<script>alert(1)</script>",
    "\"'><img src=x onerror=x>",
    "{{ 7*7 }}",
    "%(name)s {0} {name}",
    "=1+1",
    "../../etc/passwd",
    "a\x00b",
    "line\r\nline",
    "\u202eright to left",
    "e\u0301" * 40,
    "🚵" * 30,
    "\ufeff",
    "ｆｕｌｌ",
    "Ⅷ",
    "y",
    "true",
    "0" * 26,
    "front",
    "2090-05-20",
    "0000-00-00",
    "9999-12-31",
)
UNITS: Final = ("", " ", " psi", " bar", " kg", " lb", " mm", " %", "°C", " furlongs")

numbers = st.builds(
    lambda end, step, unit: f"{end + step:.10g}{unit}",
    st.sampled_from(ENDS),
    st.sampled_from([0.0, 1e-9, -1e-9, 0.5, -0.5, 1.0, -1.0]),
    st.sampled_from(UNITS),
)
texts = st.text(max_size=60)
long_texts = st.builds(lambda text, times: text * times, st.text(min_size=1, max_size=8), st.integers(50, 900))
values = st.one_of(
    st.sampled_from(NONSENSE),
    numbers,
    numbers,
    st.floats().map(repr),
    st.integers().map(str),
    texts,
    long_texts,
)
