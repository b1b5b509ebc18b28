"""Photos of codes made for tests: drawn by the library qrcode, damaged with numpy, saved by Pillow."""

import io
from typing import Any

import numpy as np
import qrcode
from PIL import Image, ImageFilter

TEXT = "HTTPS://TAG.EXAMPLE/OBJ/SA8KJ2MT"


def code(text: str = TEXT, *, module_px: int = 6, level: int = qrcode.ERROR_CORRECT_Q) -> Image.Image:
    """One code in grey, with its clear zone."""
    symbol = qrcode.QRCode(error_correction=level, box_size=module_px, border=4)
    symbol.add_data(text)
    return symbol.make_image().get_image().convert("L")


def on_page(codes: list[Image.Image], size: tuple[int, int], shade: int = 215) -> Image.Image:
    """Codes in a row on a large even page."""
    page = Image.new("L", size, shade)
    for place, each in enumerate(codes):
        page.paste(each, (60 + place * (each.width + 40), size[1] // 3))
    return page


def saved(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    """The bytes of a picture file."""
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def noisy(image: Image.Image, sigma: float, seed: int) -> Image.Image:
    """Grain of a camera in the dark."""
    grain = np.random.default_rng(seed).normal(0, sigma, (image.height, image.width))
    return Image.fromarray(np.clip(np.asarray(image) + grain, 0, 255).astype(np.uint8))


def faint(image: Image.Image, levels: int, seed: int) -> Image.Image:
    """Pale print, with a little grain."""
    pale = image.point(lambda grey: 200 - levels + grey * levels // 255)
    return noisy(pale, 4, seed)


def blurred(image: Image.Image, sigma: float) -> Image.Image:
    """Out of focus."""
    return image.filter(ImageFilter.GaussianBlur(sigma))


def scratched(image: Image.Image, share: float, seed: int) -> Image.Image:
    """White and black specks over a share of the pixels, as of dust and fine scratches."""
    pixels = np.asarray(image).copy()
    draw = np.random.default_rng(seed)
    hit = draw.random(pixels.shape) < share
    pixels[hit] = draw.choice([0, 255], size=int(hit.sum()))
    return Image.fromarray(pixels)
