"""Results as small HTML tables, for notebooks."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Optional

if TYPE_CHECKING:
    from ._decode import Decode
    from ._result import Check, Estimate, KeyFound, Verdict


def check(result: Check) -> str:
    """Return the verdict of a check and what it measured."""
    rows = [
        ("Carrier", _estimate(result.carrier.frequency_hz, "Hz")),
        ("Ring resonance", _estimate(result.ring.resonance_hz, "Hz")),
        ("Ring Q", _estimate(result.ring.q, "")),
        ("Keys", "; ".join(key_words(found) for found in result.keys) or "none was read"),
    ]
    why = _list([finding.text for finding in result.findings if finding.weight != "minor"])
    return f"<div><p><code>{escape(result.file)}</code></p>{verdict(result.verdict)}{_table(rows)}{why}</div>"


def verdict(result: Verdict) -> str:
    """Return the verdict, how sure it is, and what to do next."""
    others = ", ".join(f"{other.fault} ({other.probability:.0%})" for other in result.others)
    also = f" Also possible: {escape(others)}." if others else ""
    steps = _list([f"{step.action} {step.tells}" for step in result.next])
    sure = f"<code>{escape(result.fault)}</code>, probability {result.probability:.0%}.{also}"
    return f"<p><strong>{escape(result.sentence)}</strong><br>{sure}</p>{steps}"


def key(result: KeyFound) -> str:
    """Return one key's modulation and frame."""
    rows = [
        ("Key", key_words(result)),
        ("Depth", _estimate(result.depth, "of the carrier")),
        ("Margin", f"{result.margin:.2f}"),
        ("Frames", str(result.repeats)),
    ]
    if result.frame is not None:
        rows.append(("Bits as sent", result.frame.bits))
    return _table(rows)


def decode(result: Decode) -> str:
    """Return the keys of a decode and how well its best stretch was read."""
    rows = [("Carrier", _estimate(result.carrier.frequency_hz, "Hz")), ("Stretches", str(len(result.stretches)))]
    best = result.best
    if best is not None:
        rows.append(("Best stretch", f"samples {best.span.start} to {best.span.end}"))
        rows += [("Bits in it", str(len(found.bits))) for found in best.keys]
    keys = "".join(key(found) for found in result.keys) or "<p>No key was decoded.</p>"
    return f"<div><p><code>{escape(result.file)}</code></p>{keys}{_table(rows)}</div>"


def key_words(result: KeyFound) -> str:
    """Return a key in a few words."""
    frame = "no frame" if result.frame is None else f"{result.frame.kind} {result.frame.payload}"
    return f"{frame}, {result.line_code}, {result.clocks_per_bit} carrier cycles a bit"


def _estimate(estimate: Optional[Estimate], unit: str) -> str:
    return "not measured" if estimate is None else f"{estimate} {unit}".rstrip()


def _table(rows: list[tuple[str, str]]) -> str:
    cells = "".join(f"<tr><th>{escape(name)}</th><td>{escape(value)}</td></tr>" for name, value in rows)
    return f"<table>{cells}</table>"


def _list(items: list[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(item)}</li>' for item in items)}</ul>" if items else ""
