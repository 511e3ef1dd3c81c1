"""A step back is painted with the next frame: a drag beside a frame that paints nothing."""

from __future__ import annotations

from playwright.sync_api import expect

FRAMES = 40
MOST_FRAMES = 2.0  # of an idle browser's, for one step from the event to the picture
# The middle of the times from before the event until the frame after it has been painted.
DRAG = """async ([frames, moves]) => {
    const slider = document.querySelector('[data-step-back]');
    const painted = () => new Promise(done => requestAnimationFrame(() => setTimeout(done, 0)));
    const times = [];
    for (let i = 0; i < frames; i += 1) {
        await painted();
        const start = performance.now();
        if (moves) {
            slider.value = String((i * 7) % Number(slider.max));
            slider.dispatchEvent(new Event('input', { bubbles: true }));
        }
        await painted();
        times.push(performance.now() - start);
    }
    return times.sort((a, b) => a - b)[frames >> 1];
}"""


def test_a_step_is_painted_with_the_next_frame(demo, go):
    page = go(demo, "pairings")
    page.locator(".pairing h3 a").first.click()
    expect(page.locator("[data-step-ready]")).to_be_attached()
    idle, moved = (page.evaluate(DRAG, [FRAMES, moves]) for moves in (False, True))
    print(f"\nfrom the event to the picture {moved:.1f} ms; a frame without any {idle:.1f} ms")
    assert moved <= MOST_FRAMES * idle + 16
