"""A picture of planks, made up of numbers: strips of slightly different tone, a seam between them, grain
along them."""

from __future__ import annotations

import zlib
from functools import lru_cache

import numpy as np

from hullview.arrays import Array
from hullview.show.colours import rgb

STRIPS = 16
"""Strips in one picture, which repeats across; LENGTH is how much of their length it shows [m], which
repeats along."""
LENGTH = 2.4


@lru_cache(maxsize=16)
def planks(colour: str, name: str, strips: bool = True, height: int = 512, width: int = 1024) -> Array:
    """Picture (height, width, 3) uint8 whose mean is `colour`; the same name gives the same picture.

    >>> planks("#a8683f", "cedar").mean(axis=(0, 1)).round().tolist()
    [168.0, 104.0, 63.0]
    """
    chance = np.random.default_rng(zlib.crc32(name.encode()))
    rows = np.arange(height)
    tone = np.ones((height, width))
    tone += 0.028 * _streaks(chance, height, width, 3, 2) + 0.02 * _streaks(chance, height, width, 1, 5)
    if strips:
        strip = rows * STRIPS // height
        within = (rows * STRIPS / height) % 1.0
        tone *= (1 + 0.055 * chance.standard_normal(STRIPS).clip(-1.6, 1.6))[strip][:, None]
        for s in range(STRIPS):  # no grain runs from one strip into the next
            tone[strip == s] = np.roll(tone[strip == s], chance.integers(width), axis=1)
        seam = np.minimum(within, 1 - within) * height / STRIPS  # distance from the seam in rows
        tone *= (1 - 0.28 * np.exp(-((seam / 1.1) ** 2)))[:, None]
    warm = 1 + 0.35 * (tone - tone.mean())  # darker wood is redder: blue falls faster than red
    colours = np.stack([tone**0.85, tone, tone * warm], axis=-1) * np.array(rgb(colour))
    for _ in range(3):  # clipping moves the mean a little
        colours = (colours * (np.array(rgb(colour)) / colours.mean(axis=(0, 1)))).clip(0, 1)
    made = np.rint(colours * 255).astype(np.uint8)
    made.setflags(write=False)  # it is kept and given again
    return np.asarray(made)


def _streaks(chance: np.random.Generator, height: int, width: int, thick: int, waves: int) -> Array:
    """Noise of spread 1 that is fine across the grain and slow along it, and meets itself at both edges."""
    spectrum = np.fft.rfft2(chance.standard_normal((height, width)))
    across = np.fft.fftfreq(height)[:, None] * height
    along = np.arange(spectrum.shape[1])[None, :]
    spectrum *= np.exp(-((across / (height / (4 * thick))) ** 2) - (along / waves) ** 2)
    noise = np.fft.irfft2(spectrum, s=(height, width))
    return np.asarray(noise / noise.std())


def texture_place(along: Array, across: Array, strip: float) -> Array:
    """Where each vertex lies in the picture, (n, 2), from its place along and across the wood [m]."""
    face = strip if strip > 0 else 0.016
    return np.column_stack([along / LENGTH, across / (face * STRIPS)])
