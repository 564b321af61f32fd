"""Draws the phone's pages of the demo household for README.md, from a checkout, by the system's Chromium:

    python -m tests.tools.phone_picture [FOLDER]
"""

from __future__ import annotations

import base64
import os
import re
import shutil
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from demo_seed import story, write
from tests.tools.pictures import FOLDER, SEED, TODAY, moment

NAME = "phone.png"
SIZE = {"width": 360, "height": 640}
COLORS = 32
PERSON, LOAD = "Ilse", "towels"


def _shots(browser: Any, url: str, link: str) -> list[bytes]:
    """Now in light, and a load's confirmation in dark."""
    page = browser.new_context(viewport=SIZE, java_script_enabled=False).new_page()
    page.goto(url + link)
    page.get_by_role("button").click()
    light = page.screenshot()
    page.emulate_media(color_scheme="dark")
    page.get_by_role("link", name=LOAD).first.click()
    return [light, page.screenshot()]


def small(png: bytes) -> bytes:
    """The picture in few colors, which is enough for pages in two, and few bytes."""
    made = BytesIO()
    Image.open(BytesIO(png)).convert("RGB").quantize(COLORS, dither=Image.Dither.NONE).save(made, "png", optimize=True)
    return made.getvalue()


def draw(where: Path) -> None:
    """Write the picture."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "logbook.db"
        write(path, story(TODAY, seed=SEED))
        there = {**os.environ, "XDG_CONFIG_HOME": name, "GWLOG_LOGBOOK": str(path), "GWLOG_CHECKPOINTS": ""}
        command = [sys.executable, "-m", "tests.phone.serve_at", moment().isoformat(), "phone"]
        with subprocess.Popen([*command, "serve", "--address", "127.0.0.1", "--port", "0"], stdout=subprocess.PIPE,
                              text=True, env=there) as serving, sync_playwright() as driver:
            assert serving.stdout is not None
            url = serving.stdout.readline().split()[-1]
            said = subprocess.run([*command, "add", PERSON], capture_output=True, text=True, env=there, check=True)
            phrase = re.search(r"^  ([a-z]+(?: [a-z]+){5})$", said.stdout, re.MULTILINE)
            assert phrase is not None
            browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
            shots = _shots(browser, url, f"pair?phrase={phrase[1].replace(' ', '-')}")
            page = browser.new_page(viewport={"width": 2 * SIZE["width"] + 16, "height": SIZE["height"]})
            page.set_content("<body style='margin:0;display:flex;gap:16px'>" + "".join(
                f"<img src='data:image/png;base64,{base64.b64encode(shot).decode()}'>" for shot in shots))
            (where / NAME).write_bytes(small(page.screenshot(omit_background=True)))
            browser.close()
            serving.terminate()


if __name__ == "__main__":
    draw(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
