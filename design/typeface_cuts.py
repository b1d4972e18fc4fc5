"""Cut the fixed styles that PDF needs from the variable typeface of the screen.

Run from the top of the project with ``fonttools[woff]`` installed; writes beside the source. The PDF compiler takes
weight and width from the OS/2 table, so that both must be set after the cut, and takes the family by cutting known
words such as "Condensed" off the name, so that they must stand apart.
"""

from pathlib import Path

from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

FOLDER = Path("src/nextpass/report/typeface")
# Style: weight, width in percent, OS/2 width class (OpenType specification).
CUTS = {"Regular": (400, 100, 5), "SemiBold": (600, 100, 5), "Condensed SemiBold": (600, 75, 3)}
WINDOWS_ENGLISH = (3, 1, 0x409)

for style, (weight, width, width_class) in CUTS.items():
    font = TTFont(FOLDER / "Archivo.woff2")
    font.flavor = None
    instancer.instantiateVariableFont(font, {"wght": weight, "wdth": width}, inplace=True)
    font["OS/2"].usWeightClass = weight
    font["OS/2"].usWidthClass = width_class
    cut = f"Archivo-{style.replace(' ', '')}"
    names = {1: f"Archivo {style}", 2: "Regular", 4: f"Archivo {style}", 6: cut, 16: "Archivo", 17: style}
    for name_id in (16, 17, 21, 22, 25):
        font["name"].removeNames(nameID=name_id)
    for name_id, said in names.items():
        font["name"].setName(said, name_id, *WINDOWS_ENGLISH)
    font.save(FOLDER / f"{cut}.ttf")
