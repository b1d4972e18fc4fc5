"""A shape for each severity, so that no reading needs colour: octagon, triangle, ring, square, and a fence."""

_SHAPES = {
    "stop": '<path class="mark-stop" d="M6.5 1h7L19 6.5v7L13.5 19h-7L1 13.5v-7Z"/>',
    "act": '<path class="mark-act" d="M10 1.5 19.5 18.5H.5Z"/>',
    "watch": '<circle class="mark-watch" cx="10" cy="10" r="7.5"/>',
    "note": '<rect class="mark-note" x="3" y="3" width="14" height="14"/>',
    "guard": '<path class="mark-guard" d="M0 10H20M14 2V18"/>',
}


def mark_svg(severity: str) -> str:
    """Shape of a severity as SVG, to stand beside its word.

    Parameters
    ----------
    severity : str
        A severity's value, or ``guard``.

    Returns
    -------
    str
        Markup, hidden from readers of the screen since the word says it.
    """
    return f'<svg class="mark" viewBox="0 0 20 20" aria-hidden="true" focusable="false">{_SHAPES[severity]}</svg>'
