"""A headless Chromium that a test can look through: any width, light or dark, on a screen or in print."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

NEEDED = ("chromium", "chromedriver")
FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--mute-audio", "--hide-scrollbars",
    "--autoplay-policy=no-user-gesture-required", "--disable-background-networking", "--no-first-run",
)  # fmt: skip
HIGH = 900  # pixels of the window
# What is folded is laid out anew only with the next picture.
DRAWN = "const done = arguments[0]; requestAnimationFrame(() => requestAnimationFrame(() => done()));"


def present() -> bool:
    """Whether browser and driver are there."""
    return all(shutil.which(name) for name in NEEDED)


@contextmanager
def chromium() -> Iterator[Any]:
    """Yield a driver; the browser is closed behind it."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which(NEEDED[0])
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    for flag in FLAGS:
        options.add_argument(flag)
    driver = webdriver.Chrome(options=options, service=Service(shutil.which(NEEDED[1])))
    driver.set_page_load_timeout(60)
    driver.set_script_timeout(120)
    try:
        yield driver
    finally:
        driver.quit()


def look(driver: Any, *, width: int = 1280, dark: bool = False, still: bool = False, media: str = "") -> None:
    """Set the window and what the reader prefers, for the page that is open and all that follow."""
    size = {"width": width, "height": HIGH, "deviceScaleFactor": 1, "mobile": width < 600}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    wishes = [
        {"name": "prefers-color-scheme", "value": "dark" if dark else "light"},
        {"name": "prefers-reduced-motion", "value": "reduce" if still else "no-preference"},
    ]
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media, "features": wishes})
    driver.execute_async_script(DRAWN)


def complaints(driver: Any) -> list[str]:
    """Return what the console has said since it was last asked, but for mere remarks."""
    return [entry["message"] for entry in driver.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")]


SPILLING = """
const wide = document.documentElement.clientWidth;
const within = (one) => one.closest('.paper, .wide, .scenario, .skip');
return [...document.body.querySelectorAll('*')]
  .filter((one) => !within(one) || one.matches('.paper, .wide, .scenario'))
  .filter((one) => { const box = one.getBoundingClientRect(); return box.width > 0 && (box.right > wide + 0.5 || box.left < -0.5); })
  .map((one) => one.outerHTML.slice(0, 120))
  .concat(document.documentElement.scrollWidth > wide ? [`the page is ${document.documentElement.scrollWidth} wide`] : []);
"""


def spilling(driver: Any) -> list[str]:
    """Return what reaches beyond the window's sides, apart from what scrolls by itself."""
    found: list[str] = driver.execute_script(SPILLING)
    return found


SERIOUS = """
const done = arguments[arguments.length - 1];
axe.run(document, {resultTypes: ['violations']}).then(
  (found) => done(found.violations.filter((one) => ['serious', 'critical'].includes(one.impact))
    .map((one) => `${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(' | ')}`)),
  (problem) => done([String(problem)]));
"""


def barriers(driver: Any, scanner: str) -> list[str]:
    """Return what the accessibility scanner (its source) finds serious or critical in the page that is open."""
    driver.execute_script(scanner)
    found: list[str] = driver.execute_async_script(SERIOUS)
    return found


PLAYING = """
const done = arguments[arguments.length - 1];
const wait = (one) => new Promise((good) => {
  const began = performance.now();
  one.play().catch((problem) => good(`${problem}`));
  const ask = () => {
    const moved = one.readyState >= 2 && one.currentTime > 0.1;
    if (moved || one.error || performance.now() - began > 20000) {
      one.pause();
      good(moved ? '' : `${one.ariaLabel}: ready ${one.readyState}, at ${one.currentTime} s, ${one.error && one.error.message}`);
    } else { setTimeout(ask, 50); }
  };
  ask();
});
(async () => {
  const said = [];
  for (const one of document.querySelectorAll('audio')) { said.push(await wait(one)); }
  done(said);
})();
"""


def playing(driver: Any) -> list[str]:
    """Play every player in turn; return for each what went wrong, empty if it plays."""
    found: list[str] = driver.execute_async_script(PLAYING)
    return found
