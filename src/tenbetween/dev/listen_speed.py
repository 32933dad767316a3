"""Measures listening: the sound of ninety minutes against decoding and resampling alone, and the pictures in passing.

Two hours are never written: one minute of an invented gym is coded once and its packets are laid end to end.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from tenbetween.dev.figures import Figure, Measured, in_turn, processor_seconds

GAME_MIN = 90.0
SHORT_MIN = 6.0
"""Minutes that are listened to; what ninety take is reckoned from them."""


def listening() -> Measured:
    """Measure listening to the sound of a film, in seconds of the processor for ninety minutes of it."""
    whole, decode = on_one_core(SHORT_MIN)
    times = GAME_MIN / SHORT_MIN
    return Measured(
        (
            Figure(
                "listening to 90 minutes of sound",
                whole * times,
                "s",
                25.0,
                floor_name="decoding and resampling alone",
                floor=decode * times,
            ),
            Figure("listening, in times of decoding and resampling", whole / decode, "", 2.0),
        )
    )


def on_one_core(minutes: float) -> tuple[float, float]:
    """Return what ``sound_times`` does in a process of one thread, so that no second core spins along and is counted."""
    asks = f"from tenbetween.dev.listen_speed import sound_times; print(*sound_times({minutes}))"
    one = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
    done = subprocess.run(
        (sys.executable, "-c", asks), env={**os.environ, **one}, capture_output=True, text=True, check=True
    )
    whole, decode = map(float, done.stdout.split())
    return whole, decode


def sound_times(minutes: float) -> tuple[float, float]:
    """Return seconds of the processor for listening to so many minutes, and for decoding and resampling them alone."""
    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder:
        file = Path(folder, "game.m4a")
        file.write_bytes(long_sound(minutes))
        whole, decode = in_turn(3, lambda: _listened(file), lambda: _decoded(file))
    return whole, decode


def _listened(file: Path) -> float:
    from tenbetween.film.listen import heard
    from tenbetween.film.sound_in import sound

    return processor_seconds(lambda: heard(sound(file)))


def _decoded(file: Path) -> float:
    from tenbetween.film.sound_in import sound

    return processor_seconds(lambda: sum(map(len, sound(file))))


def long_sound(minutes: float) -> bytes:
    """Return an M4A file (AAC, stereo, 44.1 kHz, 128 kbit/s): one minute of a gym, again and again."""
    from tenbetween.dev.gym_sound import Gym, heard
    from tenbetween.dev.gym_sounds import RATE
    from tenbetween.film.write import film_parts

    av = film_parts()
    samples = heard(Gym(seconds=60.0, snr_db=12.0), 17).samples
    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as box:
        stream = box.add_stream("aac", rate=RATE, layout="stereo")
        stream.bit_rate = 128_000
        packets = _packets(av, stream, samples, RATE)
        for number in range(round(minutes * 60 * RATE / 1_024)):
            packet = av.Packet(packets[number % len(packets)])
            packet.pts = packet.dts = 1_024 * number
            packet.duration, packet.time_base, packet.stream = 1_024, stream.codec_context.time_base, stream
            box.mux(packet)
    return out.getvalue()


def _packets(av: Any, stream: Any, samples: Any, rate: int) -> list[bytes]:
    import numpy as np

    frame = av.AudioFrame.from_ndarray(np.stack((samples, samples)), format="fltp", layout="stereo")
    frame.sample_rate, frame.pts = rate, 0
    return [bytes(packet) for packet in (*stream.encode(frame), *stream.encode()) if packet.size]
