"""The jobs in the database: every saved state is kept, and none is overwritten unseen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError
from sqlalchemy import Connection, Row, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from basswright.database.engine import now, reading, writing
from basswright.database.tables import FILE, JOB, JOB_REVISION, PHOTO
from basswright.errors import ConflictError, InputError, InputErrors, NotFoundError
from basswright.jobs import attachments
from basswright.jobs.attachments import FILE_LIMIT, PHOTO_LIMIT, FileKind, JobFile, Photo
from basswright.records.job import Job

if TYPE_CHECKING:
    from sqlalchemy import Engine

__all__ = [
    "FILE_LIMIT",
    "PHOTO_LIMIT",
    "FileKind",
    "JobFile",
    "JobRevision",
    "JobStore",
    "Photo",
    "StoredJob",
]


@dataclass(frozen=True, kw_only=True)
class StoredJob:
    """A job as it is kept. Hand `revision` back when saving a change to it."""

    job: Job
    revision: int
    archived: bool
    created_at: str
    changed_at: str


@dataclass(frozen=True, kw_only=True)
class JobRevision:
    """One saved state of a job; `restores` is the revision that an undo brought back."""

    revision: int
    restores: int | None
    at: str
    note: str


class JobStore:
    """The jobs of a workshop, kept in a database.

    Parameters
    ----------
    engine : sqlalchemy.Engine
        From :func:`basswright.database.connect`.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    def list(self, *, archived: bool = False) -> tuple[StoredJob, ...]:
        """Return the jobs in hand (or the archived ones), the latest change first."""
        return self.search("", archived=archived)

    def search(self, text: str, *, archived: bool | None = None) -> tuple[StoredJob, ...]:
        """Return the jobs in which every word of the text occurs, the latest change first.

        Id, title, customer and name of the car are searched, without regard to case;
        `archived` None looks among all jobs.
        """
        query = select(JOB).order_by(JOB.c.changed_at.desc(), JOB.c.id)
        if archived is not None:
            query = query.where(JOB.c.archived == int(archived))
        for word in text.casefold().split():
            query = query.where(JOB.c.search_text.contains(word, autoescape=True))
        with reading(self.engine) as connection:
            return tuple(_stored(row) for row in connection.execute(query))

    def get(self, job_id: str) -> StoredJob:
        """Return one job.

        Raises
        ------
        NotFoundError
        """
        with reading(self.engine) as connection:
            return _stored(_row(connection, job_id))

    def save(self, job: Job, expected_revision: int | None = None, *, note: str = "") -> StoredJob:
        """Save a new job, or a change to a job that is known.

        Parameters
        ----------
        job : Job
        expected_revision : int, optional
            The revision that was edited; None for a job that must not be there yet.
        note : str
            What was changed, for the history.

        Raises
        ------
        ConflictError
            Somebody saved another state in the meantime, or a job of this id is there
            already. Nothing is changed.
        NotFoundError
            The job that was edited is gone.
        """
        with writing(self.engine) as connection:
            if expected_revision is None:
                _insert(connection, job, note)
            else:
                _rewrite(connection, job, expected_revision, note=note)
            return _stored(_row(connection, job.id))

    def history(self, job_id: str) -> tuple[JobRevision, ...]:
        """Return every saved state of a job, the first one first.

        Raises
        ------
        NotFoundError
        """
        columns = JOB_REVISION.c
        query = (
            select(columns.revision, columns.restores, columns.at, columns.note)
            .where(columns.job_id == job_id)
            .order_by(columns.revision)
        )
        with reading(self.engine) as connection:
            _row(connection, job_id)
            return tuple(JobRevision(**row._mapping) for row in connection.execute(query))

    def at(self, job_id: str, revision: int) -> Job:
        """Return a job as it was in one of its saved states.

        Raises
        ------
        NotFoundError
        """
        with reading(self.engine) as connection:
            return _job(job_id, _content(connection, job_id, revision))

    def restore(self, job_id: str, revision: int, *, expected_revision: int) -> StoredJob:
        """Bring a saved state back, as a new revision; nothing is lost by it.

        Raises
        ------
        ConflictError, NotFoundError
            As in :meth:`save`.
        """
        with writing(self.engine) as connection:
            job = _job(job_id, _content(connection, job_id, revision))
            note = f"back to revision {revision}"
            _rewrite(connection, job, expected_revision, note=note, restores=revision)
            return _stored(_row(connection, job_id))

    def undo(self, job_id: str, *, expected_revision: int) -> StoredJob:
        """Bring back the state before the last change; again, the one before that.

        Raises
        ------
        ConflictError, NotFoundError
            As in :meth:`save`; also where there is nothing left to undo (NotFoundError).
        """
        with reading(self.engine) as connection:
            query = select(JOB_REVISION.c.restores).where(
                JOB_REVISION.c.job_id == job_id, JOB_REVISION.c.revision == expected_revision
            )
            _row(connection, job_id)
            position = connection.execute(query).scalar() or expected_revision
        if position <= 1:
            raise NotFoundError("earlier state of the job", job_id)
        return self.restore(job_id, position - 1, expected_revision=expected_revision)

    def duplicate(self, job_id: str, new_id: str, *, title: str = "") -> StoredJob:
        """Save a copy under another id; history and photos stay with the first.

        Raises
        ------
        ConflictError
            The new id is taken.
        NotFoundError
        """
        original = self.get(job_id).job
        return self.save(_copy(original, new_id, title), note=f"copy of {job_id}")

    def archive(self, job_id: str, *, archived: bool = True) -> StoredJob:
        """Put a job away (or take it out again); it stays searchable.

        Raises
        ------
        NotFoundError
        """
        with writing(self.engine) as connection:
            _row(connection, job_id)
            statement = update(JOB).where(JOB.c.id == job_id).values(archived=int(archived))
            connection.execute(statement)
            return _stored(_row(connection, job_id))

    def delete(self, job_id: str) -> None:
        """Remove a job with its history and photos, as a customer may ask for.

        Raises
        ------
        NotFoundError
        """
        with writing(self.engine) as connection:
            _row(connection, job_id)
            connection.execute(delete(JOB).where(JOB.c.id == job_id))

    def attach_photo(self, job_id: str, name: str, content: bytes) -> Photo:
        """Keep a picture with a job; the same picture again is kept once.

        Raises
        ------
        InputError
            Not a JPEG, PNG or WebP picture.
        TooLargeError
            Larger than `PHOTO_LIMIT`.
        NotFoundError
        """
        with writing(self.engine) as connection:
            _row(connection, job_id)
            return attachments.add_photo(connection, job_id, name, content)

    def photos(self, job_id: str) -> tuple[Photo, ...]:
        """Return the photos of a job, in the order in which they were attached.

        Raises
        ------
        NotFoundError
        """
        with reading(self.engine) as connection:
            _row(connection, job_id)
            return attachments.photos_of(connection, job_id)

    def photo(self, job_id: str, photo_id: int) -> bytes:
        """Return the bytes of one photo.

        Raises
        ------
        NotFoundError
        """
        with reading(self.engine) as connection:
            return attachments.content_of(connection, PHOTO, job_id, photo_id)

    def attach_file(
        self, job_id: str, kind: FileKind, *, name: str, content: bytes, note: str = ""
    ) -> JobFile:
        """Keep a file with a job: a recording, a measured cabin, a scan.

        Parameters
        ----------
        job_id : str
        kind : {"recording", "impedance", "cabin", "scan", "paper", "other"}
        name : str
            Name of the file.
        content : bytes
            The same bytes again are kept once.
        note : str

        Raises
        ------
        InputError
            No such kind.
        TooLargeError
            Larger than `FILE_LIMIT`.
        NotFoundError
        """
        with writing(self.engine) as connection:
            _row(connection, job_id)
            return attachments.add_file(
                connection, job_id, kind, name=name, content=content, note=note
            )

    def files(
        self, job_id: str | None = None, *, kind: FileKind | None = None
    ) -> tuple[JobFile, ...]:
        """Return the files of a job (None: of all jobs), of one kind or of all, oldest first.

        So a cabin that was measured for one job is found for the next one of that car.

        Raises
        ------
        NotFoundError
        """
        with reading(self.engine) as connection:
            if job_id is not None:
                _row(connection, job_id)
            return attachments.files_of(connection, job_id=job_id, kind=kind)

    def file(self, job_id: str, file_id: int) -> bytes:
        """Return the bytes of one file.

        Raises
        ------
        NotFoundError
        """
        with reading(self.engine) as connection:
            return attachments.content_of(connection, FILE, job_id, file_id)


def _row(connection: Connection, job_id: str) -> Row[Any]:
    row = connection.execute(select(JOB).where(JOB.c.id == job_id)).first()
    if row is None:
        from rapidfuzz import process

        ids = connection.execute(select(JOB.c.id)).scalars().all()
        near = process.extract(job_id, ids, limit=3, score_cutoff=60)
        raise NotFoundError("job", job_id, tuple(match for match, _, _ in near))
    return row


def _content(connection: Connection, job_id: str, revision: int) -> str:
    columns = JOB_REVISION.c
    query = select(columns.content).where(columns.job_id == job_id, columns.revision == revision)
    content = connection.execute(query).scalar()
    if content is None:
        raise NotFoundError("saved state of a job", f"{job_id}, revision {revision}")
    return str(content)


def _insert(connection: Connection, job: Job, note: str) -> None:
    at = now()
    row = {**_columns(job, at), "id": job.id, "revision": 1, "archived": 0, "created_at": at}
    try:
        connection.execute(insert(JOB), row)
    except IntegrityError as error:
        raise ConflictError(f"there is a job called {job.id!r} already") from error
    _remember(connection, job.id, 1, row, note=note)


def _rewrite(
    connection: Connection,
    job: Job,
    expected_revision: int,
    *,
    note: str,
    restores: int | None = None,
) -> None:
    values = {**_columns(job, now()), "revision": expected_revision + 1}
    statement = update(JOB).where(JOB.c.id == job.id, JOB.c.revision == expected_revision)
    if connection.execute(statement.values(values)).rowcount != 1:
        found = _row(connection, job.id).revision
        raise ConflictError(
            f"job {job.id!r} was changed by somebody else: it is at revision {found}, "
            f"the edited one was {expected_revision}"
        )
    _remember(connection, job.id, expected_revision + 1, values, note=note, restores=restores)


def _remember(
    connection: Connection,
    job_id: str,
    revision: int,
    values: dict[str, Any],
    *,
    note: str,
    restores: int | None = None,
) -> None:
    row = {
        "job_id": job_id,
        "revision": revision,
        "restores": restores,
        "at": values["changed_at"],
        "note": note[:200],
        "content": values["content"],
    }
    connection.execute(insert(JOB_REVISION), row)


def _columns(job: Job, at: str) -> dict[str, Any]:
    searched = (job.id, job.title, job.customer, job.car.name)
    return {
        "search_text": "\n".join(searched).casefold(),
        "changed_at": at,
        "content": job.model_dump_json(exclude_none=True),
    }


def _stored(row: Row[Any]) -> StoredJob:
    return StoredJob(
        job=_job(row.id, row.content),
        revision=row.revision,
        archived=bool(row.archived),
        created_at=row.created_at,
        changed_at=row.changed_at,
    )


def _job(job_id: str, content: str) -> Job:
    try:
        return Job.model_validate_json(content, strict=True)
    except ValidationError as error:
        problems = [
            InputError(problem["msg"], item=job_id, field=".".join(map(str, problem["loc"])))
            for problem in error.errors(include_url=False)
        ]
        raise InputErrors(problems, item="kept job") from error


def _copy(job: Job, new_id: str, title: str) -> Job:
    try:
        return Job.model_validate({**dict(job), "id": new_id, "title": title or job.title})
    except ValidationError as error:
        problem = error.errors(include_url=False)[0]
        field = ".".join(map(str, problem["loc"]))
        raise InputError(problem["msg"], field=field, value=problem["input"]) from error
