"""What the board says of a practice plan: where to look, and the story once it is mended."""

from __future__ import annotations

from guyline.core.plan import SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.core.readiness.mending import open_findings
from guyline.services.practice import Lesson
from guyline.viewmodels.board_rows import BoardRow, BoardSection

ALL_MENDED = "All of them are found and mended: print the sheets (Ctrl+P)."


def practice_section(
    assessment: PlanAssessment, lessons: tuple[Lesson, ...]
) -> tuple[BoardSection, ...]:
    """One line a mistake, the open ones first; () without lessons."""
    if not lessons:
        return ()
    there = {
        (site.site_id, str(finding.code)): str(finding.gate)
        for site in assessment.sites
        for finding in open_findings(site)
    }
    rows = {lesson.number: _row(lesson, there) for lesson in lessons}
    done = [row for row in rows.values() if row.verdict is Verdict.GO]
    still = [row for row in rows.values() if row.verdict is not Verdict.GO]
    return (
        BoardSection(
            title=f"Practice: {len(done)} of {len(lessons)} mistakes mended",
            rows=(
                *([] if still else [BoardRow(verdict=None, head="Well done", text=ALL_MENDED)]),
                *still,
                *done,
            ),
            empty="",
        ),
    )


def _row(lesson: Lesson, there: dict[tuple[SiteId, str], str]) -> BoardRow:
    """An open mistake tells where to look and no more; a mended one tells its story."""
    still = [place for place in lesson.found if place in there]
    if not still:
        return BoardRow(verdict=Verdict.GO, head=f"{lesson.number}. Mended", text=lesson.story)
    sites = " and ".join(dict.fromkeys(site_id for site_id, _ in still))
    return BoardRow(
        verdict=Verdict.NOT_ASSESSED,
        head=f"{lesson.number}. Something is wrong at {sites}",
        text=f"Look among the findings about {there[still[0]]}.",
        site_id=still[0][0],
    )
