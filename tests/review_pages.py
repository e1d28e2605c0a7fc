"""A review page in a real browser, as the tests use it: what is on screen, pressed keys, frames read from the picture itself."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from clips import read_number
from selenium.webdriver import ActionChains, Chrome
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.wait import WebDriverWait

SIZES = {"wide": (1280, 800), "narrow": (390, 844)}

_ARGUMENTS = ("--headless=new", "--no-sandbox", "--disable-gpu", "--force-color-profile=srgb", "--mute-audio", "--disable-dev-shm-usage")


def new_browser(downloads: Path) -> Chrome:
    """Debian's Chromium without a window; what it downloads goes to a folder."""
    options = Options()
    options.binary_location = "/usr/bin/chromium"
    for argument in _ARGUMENTS:
        options.add_argument(argument)
    options.add_experimental_option("prefs", {"download.default_directory": str(downloads), "download.prompt_for_download": False})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    return Chrome(options=options, service=Service("/usr/bin/chromedriver"))


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *values: object) -> None:
        pass


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The folder from Python's own server; gives the address of its page."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/index.html"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@dataclass(frozen=True)
class Page:
    """A page that is open; times are those that a person would see."""

    browser: Chrome

    def open(self, address: str, size: str = "wide") -> None:
        width, height = SIZES[size]
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": size == "narrow"}
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        self.browser.get(address)
        self.until("return document.getElementById('movie').readyState >= 2")

    def run(self, script: str, *values: Any) -> Any:
        return self.browser.execute_script(script, *values)

    def until(self, script: str, *values: Any) -> Any:
        return WebDriverWait(self.browser, 10, poll_frequency=0.02).until(lambda _: self.run(script, *values))

    def find(self, selector: str) -> WebElement:
        return self.browser.find_element(By.CSS_SELECTOR, selector)

    def all(self, selector: str) -> list[WebElement]:
        return self.browser.find_elements(By.CSS_SELECTOR, selector)

    def press(self, selector: str) -> None:
        """Press a thing with the mouse, after it has come into sight as it would for a person."""
        thing = self.find(selector)
        self.run("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", thing)
        thing.click()

    def keys(self, *keys: str) -> None:
        """Press keys one after the other, wherever they go now."""
        chain = ActionChains(self.browser, duration=0)
        for key in keys:
            chain.send_keys(key)
        chain.perform()

    def text(self, selector: str) -> str:
        return self.find(selector).text

    @property
    def record(self) -> str:
        """The record time code that is on the page."""
        return str(self.run("return document.querySelector('#now .time dd').textContent"))

    @property
    def frame(self) -> int:
        """The frame that the page says is shown, from 0."""
        return int(self.run("return document.querySelector('#now').children[1].querySelector('dd').textContent")) - 1

    def shows(self, frame: int) -> None:
        """Wait until the page says that it shows a frame, and the picture is there."""
        script = "return document.querySelector('#now').children[1].querySelector('dd').textContent === arguments[0]"
        self.until(f"{script} && !document.getElementById('movie').seeking", str(frame + 1))
        self.browser.execute_async_script(
            "const done = arguments[0]; requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 30)));"
        )

    def stops(self) -> int:
        """Wait until the movie stands still on a frame, and give what the page calls it."""
        self.until("const movie = document.getElementById('movie'); return movie.paused && !movie.seeking")
        # The picture that was under way when the movie was stopped may still be on its way to the screen.
        self.browser.execute_async_script("const done = arguments[0]; requestAnimationFrame(() => setTimeout(done, 80));")
        self.shows(self.frame)
        return self.frame

    def number_on_screen(self, selector: str = "#movie") -> int:
        """The number that the picture itself carries, from a screenshot."""
        picture = cv2.imdecode(np.frombuffer(self.find(selector).screenshot_as_png, np.uint8), cv2.IMREAD_COLOR)
        return read_number(picture[:, :, ::-1])

    def messages(self) -> list[str]:
        """What the browser complained of since last asked."""
        return [entry["message"] for entry in self.browser.get_log("browser")]
