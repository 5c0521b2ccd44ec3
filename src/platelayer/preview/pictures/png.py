"""Pictures as PNG, drawn from their SVG by a library that needs no system of its own (resvg).

The one door for resvg_py. Letters come from the fonts of the machine, so two machines may differ in them.
"""

from platelayer.errors import CannotCut, Fault


def svg_to_png(svg: str, *, width_px: int) -> bytes:
    """The picture as the bytes of a PNG file, so many pixels wide and as high as follows.

    Raises:
        CannotCut: the library is not installed; the SVG is as good for paper.
    """
    try:
        import resvg_py
    except ImportError as error:
        raise CannotCut(
            Fault(
                where="PNG",
                problem="this picture needs the library resvg-py, which is not installed",
                fix="Install it with pip install resvg-py, or print the SVG, which needs nothing.",
            )
        ) from error
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, width=width_px, dpi=96.0))
