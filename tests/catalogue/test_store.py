"""The catalogue in either database: one snapshot in, the same one out."""

from __future__ import annotations

import pytest
from sqlalchemy import Engine, text

from basswright.catalogue.demo import make
from basswright.catalogue.store import Catalogue
from basswright.database.engine import writing
from basswright.errors import InputErrors, NotFoundError
from basswright.records.snapshot import Snapshot


@pytest.fixture(scope="module")
def snapshot() -> Snapshot:
    return make(5, enclosures=40, amplifiers=12).snapshot


@pytest.fixture
def catalogue(engine: Engine) -> Catalogue:
    return Catalogue(engine)


def test_an_empty_store_gives_an_empty_snapshot(catalogue: Catalogue) -> None:
    assert catalogue.snapshot().enclosures == ()
    assert set(catalogue.counts().values()) == {0}


def test_what_goes_in_comes_out_in_the_same_order(catalogue: Catalogue, snapshot: Snapshot) -> None:
    changes = catalogue.replace(snapshot)
    assert catalogue.snapshot() == snapshot
    assert Catalogue(catalogue.engine).snapshot() == snapshot
    assert len(changes.added) == sum(catalogue.counts().values())
    assert catalogue.counts()["enclosures"] == 40


def test_a_snapshot_is_read_once_and_again_after_a_change(
    catalogue: Catalogue, snapshot: Snapshot
) -> None:
    catalogue.replace(snapshot)
    first = catalogue.snapshot()
    assert catalogue.snapshot() is first
    other = Catalogue(catalogue.engine)
    dearer = snapshot.enclosures[3].model_copy(update={"price": 1234.0})
    other.update([dearer])
    again = catalogue.snapshot()
    assert again.enclosures[3] == dearer
    assert again.enclosures[:3] == snapshot.enclosures[:3]


def test_an_update_tells_what_is_new_changed_dearer_and_the_same(
    catalogue: Catalogue, snapshot: Snapshot
) -> None:
    old = snapshot.amplifiers[:5]
    catalogue.update(old)
    dearer = old[0].model_copy(update={"price": old[0].price + 10})
    renamed = old[1].model_copy(update={"remarks": ("discontinued",)})
    changes = catalogue.update([dearer, renamed, *old[2:], snapshot.amplifiers[7]])
    assert changes.added == (snapshot.amplifiers[7].id,)
    assert changes.changed == (old[0].id, old[1].id)
    assert changes.same == 3
    assert [(p.id, p.old, p.new) for p in changes.prices] == [
        (old[0].id, old[0].price, old[0].price + 10)
    ]


def test_replacing_removes_what_is_gone(catalogue: Catalogue, snapshot: Snapshot) -> None:
    catalogue.replace(snapshot)
    smaller = Snapshot(**{**vars(snapshot), "enclosures": snapshot.enclosures[10:]})
    changes = catalogue.replace(smaller)
    assert set(changes.removed) == {e.id for e in snapshot.enclosures[:10]}
    assert catalogue.snapshot() == smaller


def test_the_same_id_twice_is_refused_and_nothing_changes(
    catalogue: Catalogue, snapshot: Snapshot
) -> None:
    catalogue.replace(snapshot)
    cheap = snapshot.enclosures[0].model_copy(update={"price": 1.0})
    with pytest.raises(InputErrors, match="twice"):
        catalogue.update([cheap, cheap])
    assert catalogue.snapshot() == snapshot


def test_one_thing_is_found_by_its_id(catalogue: Catalogue, snapshot: Snapshot) -> None:
    catalogue.replace(snapshot)
    assert catalogue.get("cables", snapshot.cables[2].id) == snapshot.cables[2]
    with pytest.raises(NotFoundError) as missing:
        catalogue.get("enclosures", "demo-box-9999")
    assert missing.value.near
    with pytest.raises(NotFoundError, match="kind of thing"):
        catalogue.get("boxes", "demo-box-0001")


def test_removing_takes_all_or_nothing(catalogue: Catalogue, snapshot: Snapshot) -> None:
    catalogue.replace(snapshot)
    first = snapshot.fuses[0].id
    with pytest.raises(NotFoundError):
        catalogue.remove("fuses", [first, "no-such-fuse"])
    assert catalogue.snapshot() == snapshot
    catalogue.remove("fuses", [first])
    assert catalogue.snapshot().fuses == snapshot.fuses[1:]


def test_kept_content_that_no_longer_fits_is_named(
    catalogue: Catalogue, snapshot: Snapshot
) -> None:
    catalogue.replace(snapshot)
    id_ = snapshot.alternators[1].id
    with writing(catalogue.engine) as connection:
        connection.execute(
            text(
                "UPDATE item SET content = replace(content, '\"idle_a\":', '\"idle_x\":')"
                " WHERE id = :id"
            ),
            {"id": id_},
        )
    with pytest.raises(InputErrors, match=id_):
        Catalogue(catalogue.engine).snapshot()
