"""What is added to a run once it is over: its recordings, and remarks at moments of it."""

from typing import get_args

from sqlalchemy import delete, insert, select

from showcaller.archive.errors import TourError
from showcaller.archive.opened import OpenTour, now_or
from showcaller.archive.tables import RecordingRow, RemarkRow, RunRow
from showcaller.archive.values import AlignedHow, Recording, Remark, RemarkKind, Run


class Afterwards(OpenTour):
    """Recordings and remarks of the tour's runs."""

    def set_recording(
        self,
        run: Run,
        path: str,
        zero_ns: int,
        how: AlignedHow,
        *,
        drift_ppm: float = 0.0,
        drift_error_ppm: float | None = None,
        by: str = "",
        wall_ns: int | None = None,
    ) -> Recording:
        """Say which video a run has, where the run's clock stood at its first frame and how fast its own ran;
        again to mend it.

        Raises:
            TourError: no such run, or it cannot be written.
        """
        made = Recording(path, zero_ns, how, by, now_or(wall_ns), drift_ppm, drift_error_ppm)
        with self.writing() as connection:
            key = self.run_key(connection, run)
            connection.execute(
                delete(RecordingRow).where(RecordingRow.run_id == key, RecordingRow.path == path)
            )
            connection.execute(
                insert(RecordingRow).values(
                    run_id=key, path=path, zero_ns=zero_ns, how=how, aligned_by=by,
                    written_wall_ns=made.written_wall_ns,
                    drift_ppm=drift_ppm, drift_error_ppm=drift_error_ppm,
                )
            )  # fmt: skip
            self.tell(connection, "recording", run.number)
        return made

    def recordings(self, run: Run) -> list[Recording]:
        """The run's videos, the one aligned last first."""
        with self.reading() as connection:
            key = self.run_key(connection, run)
            query = (
                select(RecordingRow.__table__)
                .where(RecordingRow.run_id == key)
                .order_by(RecordingRow.written_wall_ns.desc(), RecordingRow.id.desc())
            )
            return [
                Recording(
                    r.path, r.zero_ns, r.how, r.aligned_by, r.written_wall_ns, r.drift_ppm, r.drift_error_ppm
                )
                for r in connection.execute(query)
            ]

    def add_remark(
        self,
        run: Run,
        t_ns: int,
        text: str,
        *,
        kind: RemarkKind = "note",
        by: str = "",
        wall_ns: int | None = None,
    ) -> Remark:
        """A note at a moment of the run's clock, written afterwards.

        Raises:
            TourError: no words, no such kind, no such run, or it cannot be written.
        """
        if not text.strip():
            raise TourError("a note needs a word or two")
        if kind not in get_args(RemarkKind):
            raise TourError(f"a note is a {', '.join(get_args(RemarkKind))}; not '{kind}'")
        made = Remark(t_ns, kind, text.strip(), by, now_or(wall_ns))
        with self.writing() as connection:
            key = self.run_key(connection, run)
            connection.execute(
                insert(RemarkRow).values(
                    run_id=key, t_ns=t_ns, kind=kind, text=made.text, written_by=by,
                    written_wall_ns=made.written_wall_ns,
                )
            )  # fmt: skip
            self.tell(connection, "remark", run.number)
        return made

    def remarks(self, run: Run) -> list[Remark]:
        """The run's remarks in the order of its clock."""
        with self.reading() as connection:
            key = self.run_key(connection, run)
            query = select(RemarkRow.__table__).where(RemarkRow.run_id == key)
            rows = connection.execute(query.order_by(RemarkRow.t_ns, RemarkRow.id))
            return [_remark(row) for row in rows]

    def all_remarks(self) -> dict[int, list[Remark]]:
        """Run number → its remarks, for the runs that have any."""
        query = (
            select(RemarkRow.__table__, RunRow.number)
            .join(RunRow, RunRow.id == RemarkRow.run_id)
            .order_by(RunRow.number, RemarkRow.t_ns, RemarkRow.id)
        )
        found: dict[int, list[Remark]] = {}
        with self.reading() as connection:
            for row in connection.execute(query):
                found.setdefault(row.number, []).append(_remark(row))
        return found


def _remark(row: object) -> Remark:
    return Remark(row.t_ns, row.kind, row.text, row.written_by, row.written_wall_ns)  # type: ignore[attr-defined]
