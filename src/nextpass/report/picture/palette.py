"""Colours of the card, the report and the screen: one palette for daylight, one for the night.

Colour never stands alone: severities differ by shape and word, the next value is a bar where the last is a ring, a
closed zone is hatched. Text reaches the contrast that WCAG 2.2 AA asks for on every ground that it stands on.
"""

from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """Colours by what they mean, as ``#rrggbb``.

    Parameters
    ----------
    ground, sheet : str
        Behind everything; behind what is read.
    ink, soft, line : str
        Text and pictures; second text; rules and grids.
    next, next_wash, on_next : str
        What is to come: the planned value, its pale area, text upon it.
    held : str
        What stays as it was: the body of a rung.
    stop, act, watch, note : str
        Severities.
    other : str
        The second of two passes laid over each other.
    """

    ground: str
    sheet: str
    ink: str
    soft: str
    line: str
    next: str
    next_wash: str
    on_next: str
    held: str
    stop: str
    act: str
    watch: str
    note: str
    other: str


DAY = Palette(
    ground="#eef1ee",
    sheet="#ffffff",
    ink="#0d1a1d",
    soft="#465659",
    line="#c3ccc9",
    next="#1f3fc4",
    next_wash="#dfe5fb",
    on_next="#ffffff",
    held="#8d9c9d",
    stop="#a81c0d",
    act="#854600",
    watch="#005c6e",
    note="#465659",
    other="#b04a00",
)

NIGHT = Palette(
    ground="#090f11",
    sheet="#111a1d",
    ink="#e9f0ee",
    soft="#a2b4b5",
    line="#2d3c40",
    next="#9db6ff",
    next_wash="#1c2b57",
    on_next="#0a1330",
    held="#66787b",
    stop="#ff9585",
    act="#ffc06a",
    watch="#72d7e6",
    note="#a2b4b5",
    other="#ffa25c",
)


def css_variables(palette: Palette) -> str:
    """Declarations of the palette's colours, ``--next-wash: #dfe5fb;`` and so on."""
    return " ".join(f"--{field.name.replace('_', '-')}: {getattr(palette, field.name)};" for field in fields(palette))


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21.

    Parameters
    ----------
    one, other : str
        As ``#rrggbb``; the order does not matter.

    Returns
    -------
    float
        Ratio of their relative luminances.

    References
    ----------
    W3C, *Web Content Accessibility Guidelines 2.2* (2023), definitions of contrast ratio and relative luminance.
    """
    brighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (brighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = (int(colour[start : start + 2], 16) / 255.0 for start in (1, 3, 5))
    linear = [value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
