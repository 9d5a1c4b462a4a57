CREATE TABLE access (
    login TEXT NOT NULL,
    role TEXT NOT NULL,
    owner_id TEXT,
    id TEXT NOT NULL,
    CONSTRAINT pk_access PRIMARY KEY (id),
    CONSTRAINT fk_access_owner_id_owner FOREIGN KEY(owner_id) REFERENCES owner (id),
    CONSTRAINT uq_access_login_owner_id UNIQUE (login, owner_id)
)
 STRICT
CREATE TABLE alembic_version (
    version_num VARCHAR(32) NOT NULL,
    CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
)
CREATE TABLE area (
    site_id TEXT NOT NULL,
    name TEXT NOT NULL,
    environment TEXT,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_area PRIMARY KEY (id),
    CONSTRAINT fk_area_site_id_site FOREIGN KEY(site_id) REFERENCES site (id),
    CONSTRAINT uq_area_site_id_name UNIQUE (site_id, name)
)
 STRICT
CREATE TABLE code_aside (
    code TEXT NOT NULL,
    site_id TEXT,
    area_id TEXT,
    scanned_at TEXT NOT NULL,
    scanned_by TEXT NOT NULL,
    settled TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_code_aside PRIMARY KEY (id),
    CONSTRAINT fk_code_aside_area_id_area FOREIGN KEY(area_id) REFERENCES area (id),
    CONSTRAINT fk_code_aside_site_id_site FOREIGN KEY(site_id) REFERENCES site (id)
)
 STRICT
CREATE INDEX ix_code_aside_code ON code_aside (code)
CREATE TABLE correction (
    record_id TEXT NOT NULL,
    new_record_id TEXT,
    reason TEXT NOT NULL,
    made_by TEXT NOT NULL,
    made_at TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_correction PRIMARY KEY (id),
    CONSTRAINT fk_correction_new_record_id_record FOREIGN KEY(new_record_id) REFERENCES record (id),
    CONSTRAINT fk_correction_record_id_record FOREIGN KEY(record_id) REFERENCES record (id),
    CONSTRAINT uq_correction_record_id UNIQUE (record_id)
)
 STRICT
CREATE TABLE duty (
    item_id TEXT NOT NULL,
    duty TEXT NOT NULL,
    site_id TEXT NOT NULL,
    contractors INTEGER NOT NULL,
    planned INTEGER NOT NULL,
    interval TEXT NOT NULL,
    last_done TEXT,
    due TEXT,
    first_needed INTEGER NOT NULL,
    CONSTRAINT pk_duty PRIMARY KEY (item_id, duty)
)
 WITHOUT ROWID,
 STRICT
CREATE INDEX ix_duty_planned_due ON duty (planned, due, item_id, duty, first_needed, contractors)
CREATE INDEX ix_duty_site_id_planned_due ON duty (site_id, planned, due, item_id, duty, first_needed, contractors)
CREATE TABLE event (
    seq INTEGER NOT NULL,
    id TEXT NOT NULL,
    at TEXT NOT NULL,
    actor TEXT NOT NULL,
    name TEXT NOT NULL,
    subject TEXT NOT NULL,
    data TEXT NOT NULL,
    hash TEXT NOT NULL,
    CONSTRAINT pk_event PRIMARY KEY (seq),
    CONSTRAINT uq_event_id UNIQUE (id)
)
 STRICT
CREATE INDEX ix_event_subject ON event (subject)
CREATE TRIGGER event_in_order BEFORE INSERT ON event WHEN new.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event) BEGIN SELECT RAISE(ABORT, 'events are added in order'); END
CREATE TRIGGER event_no_delete BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'event is only ever added to'); END
CREATE TRIGGER event_no_update BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'event is only ever added to'); END
CREATE TABLE exposure (
    item_id TEXT NOT NULL,
    seq INTEGER NOT NULL,
    since TEXT NOT NULL,
    site_id TEXT NOT NULL,
    area_id TEXT NOT NULL,
    environment TEXT NOT NULL,
    place TEXT NOT NULL,
    rulebook TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_exposure PRIMARY KEY (id),
    CONSTRAINT fk_exposure_area_id_area FOREIGN KEY(area_id) REFERENCES area (id),
    CONSTRAINT fk_exposure_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_exposure_site_id_site FOREIGN KEY(site_id) REFERENCES site (id),
    CONSTRAINT uq_exposure_item_id_seq UNIQUE (item_id, seq)
)
 STRICT
CREATE TABLE held_limit (
    id TEXT NOT NULL,
    words TEXT NOT NULL,
    least TEXT,
    most TEXT,
    source TEXT NOT NULL,
    CONSTRAINT pk_held_limit PRIMARY KEY (id)
)
 STRICT
CREATE TRIGGER held_limit_no_delete BEFORE DELETE ON held_limit BEGIN SELECT RAISE(ABORT, 'held_limit is only ever added to'); END
CREATE TRIGGER held_limit_no_update BEFORE UPDATE ON held_limit BEGIN SELECT RAISE(ABORT, 'held_limit is only ever added to'); END
CREATE TABLE instrument (
    serial TEXT NOT NULL,
    description TEXT NOT NULL,
    calibrated_until TEXT,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_instrument PRIMARY KEY (id),
    CONSTRAINT uq_instrument_serial UNIQUE (serial)
)
 STRICT
CREATE TABLE intake (
    file_name TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    taken_at TEXT NOT NULL,
    counts TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_intake PRIMARY KEY (id)
)
 STRICT
CREATE INDEX ix_intake_sha256 ON intake (sha256)
CREATE TABLE item (
    site_id TEXT NOT NULL,
    area_id TEXT NOT NULL,
    kind TEXT NOT NULL,
    description TEXT NOT NULL,
    serial TEXT NOT NULL,
    environment TEXT,
    outlets INTEGER NOT NULL,
    rated_current_a TEXT,
    switch TEXT,
    lead TEXT,
    condition TEXT NOT NULL,
    condition_since TEXT,
    scope_reason TEXT NOT NULL,
    battery_run INTEGER NOT NULL,
    protected_by_switch INTEGER,
    moved_in_use INTEGER,
    risk_factor INTEGER,
    not_found_on TEXT,
    removed_on TEXT,
    removal_reason TEXT NOT NULL,
    replaces_id TEXT,
    replaced_by_id TEXT,
    remarks TEXT NOT NULL,
    tag_number TEXT NOT NULL,
    state TEXT NOT NULL,
    next_due TEXT,
    untested INTEGER NOT NULL,
    present_environment TEXT NOT NULL,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_item PRIMARY KEY (id),
    CONSTRAINT fk_item_area_id_area FOREIGN KEY(area_id) REFERENCES area (id),
    CONSTRAINT fk_item_replaced_by_id_item FOREIGN KEY(replaced_by_id) REFERENCES item (id),
    CONSTRAINT fk_item_replaces_id_item FOREIGN KEY(replaces_id) REFERENCES item (id),
    CONSTRAINT fk_item_site_id_site FOREIGN KEY(site_id) REFERENCES site (id)
)
 STRICT
CREATE INDEX ix_item_area_id ON item (area_id)
CREATE INDEX ix_item_description ON item (description, id, state)
CREATE INDEX ix_item_kind ON item (kind, id, state)
CREATE INDEX ix_item_next_due ON item (next_due, id, state)
CREATE INDEX ix_item_site_id_state_next_due ON item (site_id, state, next_due, id, untested)
CREATE INDEX ix_item_state_next_due ON item (state, next_due, id, untested)
CREATE INDEX ix_item_tag_number ON item (tag_number, id, state)
CREATE VIRTUAL TABLE item_search USING fts5(text, content='item_text', content_rowid='row', tokenize='trigram')
CREATE TABLE item_text (
    "row" INTEGER NOT NULL,
    item_id TEXT NOT NULL,
    text TEXT NOT NULL,
    CONSTRAINT pk_item_text PRIMARY KEY ("row"),
    CONSTRAINT fk_item_text_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT uq_item_text_item_id UNIQUE (item_id)
)
 STRICT
CREATE TABLE let_go (
    id TEXT NOT NULL,
    kind TEXT NOT NULL,
    item_id TEXT NOT NULL,
    day TEXT NOT NULL,
    let_go_by TEXT NOT NULL,
    let_go_at TEXT NOT NULL,
    CONSTRAINT pk_let_go PRIMARY KEY (id)
)
 STRICT
CREATE INDEX ix_let_go_item_id ON let_go (item_id)
CREATE TRIGGER let_go_no_delete BEFORE DELETE ON let_go BEGIN SELECT RAISE(ABORT, 'let_go is only ever added to'); END
CREATE TRIGGER let_go_no_update BEFORE UPDATE ON let_go BEGIN SELECT RAISE(ABORT, 'let_go is only ever added to'); END
CREATE TABLE mark (
    item_id TEXT NOT NULL,
    duty TEXT NOT NULL,
    done_on TEXT NOT NULL,
    told_by TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_mark PRIMARY KEY (id),
    CONSTRAINT fk_mark_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT uq_mark_item_id_duty_done_on UNIQUE (item_id, duty, done_on)
)
 STRICT
CREATE TABLE override (
    scope TEXT NOT NULL,
    target_id TEXT NOT NULL,
    duty TEXT NOT NULL,
    interval TEXT NOT NULL,
    reason TEXT NOT NULL,
    approver TEXT NOT NULL,
    approved_on TEXT NOT NULL,
    review_on TEXT NOT NULL,
    ended_on TEXT,
    end_reason TEXT NOT NULL,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_override PRIMARY KEY (id)
)
 STRICT
CREATE INDEX ix_override_target_id ON override (target_id)
CREATE TABLE owner (
    name TEXT NOT NULL,
    contact TEXT NOT NULL,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_owner PRIMARY KEY (id),
    CONSTRAINT uq_owner_name UNIQUE (name)
)
 STRICT
CREATE TABLE owner_query (
    item_id TEXT NOT NULL,
    workbook TEXT NOT NULL,
    asks TEXT NOT NULL,
    text TEXT NOT NULL,
    asked_by TEXT NOT NULL,
    asked_on TEXT NOT NULL,
    settled_on TEXT,
    settled_by TEXT NOT NULL,
    settlement TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_owner_query PRIMARY KEY (id),
    CONSTRAINT fk_owner_query_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT uq_owner_query_item_id_workbook_asks_text UNIQUE (item_id, workbook, asks, text)
)
 STRICT
CREATE TABLE pack (
    sites TEXT NOT NULL,
    holder TEXT NOT NULL,
    made_at TEXT NOT NULL,
    made_on TEXT NOT NULL,
    expires_on TEXT NOT NULL,
    items INTEGER NOT NULL,
    merged_at TEXT,
    counts TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_pack PRIMARY KEY (id)
)
 STRICT
CREATE TABLE pack_base (
    kind TEXT NOT NULL,
    "key" TEXT NOT NULL,
    kept TEXT,
    CONSTRAINT pk_pack_base PRIMARY KEY (kind, "key")
)
 WITHOUT ROWID,
 STRICT
CREATE TABLE photo (
    id TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    form TEXT NOT NULL,
    width INTEGER NOT NULL,
    height INTEGER NOT NULL,
    picture BLOB NOT NULL,
    CONSTRAINT pk_photo PRIMARY KEY (id)
)
 STRICT
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo WHEN NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.id) BEGIN SELECT RAISE(ABORT, 'photo is only ever added to'); END
CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'photo is only ever added to'); END
CREATE TABLE reading (
    record_id TEXT NOT NULL,
    number INTEGER NOT NULL,
    quantity TEXT NOT NULL,
    outlet INTEGER,
    half_cycle INTEGER,
    multiple TEXT,
    test_current TEXT,
    value TEXT NOT NULL,
    unit TEXT NOT NULL,
    bound TEXT NOT NULL,
    result TEXT,
    limit_id TEXT,
    why TEXT NOT NULL,
    CONSTRAINT pk_reading PRIMARY KEY (record_id, number),
    CONSTRAINT fk_reading_limit_id_held_limit FOREIGN KEY(limit_id) REFERENCES held_limit (id),
    CONSTRAINT fk_reading_record_id_record FOREIGN KEY(record_id) REFERENCES record (id)
)
 WITHOUT ROWID,
 STRICT
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading WHEN NOT EXISTS (SELECT 1 FROM taken_back WHERE record_id = old.record_id) AND NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.record_id) BEGIN SELECT RAISE(ABORT, 'reading is only ever added to'); END
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'reading is only ever added to'); END
CREATE TABLE record (
    item_id TEXT NOT NULL,
    tested_on TEXT NOT NULL,
    tested_at TEXT,
    tester TEXT NOT NULL,
    instrument TEXT NOT NULL,
    set_up TEXT,
    look TEXT,
    verdict TEXT NOT NULL,
    why TEXT NOT NULL,
    as_found INTEGER NOT NULL,
    rulebook TEXT NOT NULL,
    rulebook_version TEXT NOT NULL,
    environment TEXT NOT NULL,
    look_limit_id TEXT,
    missing TEXT NOT NULL,
    remarks TEXT NOT NULL,
    warnings TEXT NOT NULL,
    content TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_record PRIMARY KEY (id),
    CONSTRAINT fk_record_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_record_look_limit_id_held_limit FOREIGN KEY(look_limit_id) REFERENCES held_limit (id),
    CONSTRAINT uq_record_item_id_content UNIQUE (item_id, content)
)
 STRICT
CREATE INDEX ix_record_item_id_tested_on ON record (item_id, tested_on, id)
CREATE INDEX ix_record_tested_on ON record (tested_on)
CREATE TRIGGER record_no_delete BEFORE DELETE ON record WHEN NOT EXISTS (SELECT 1 FROM taken_back WHERE record_id = old.id) AND NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.id) BEGIN SELECT RAISE(ABORT, 'record is only ever added to'); END
CREATE TRIGGER record_no_update BEFORE UPDATE ON record BEGIN SELECT RAISE(ABORT, 'record is only ever added to'); END
CREATE TABLE record_duty (
    record_id TEXT NOT NULL,
    duty TEXT NOT NULL,
    item_id TEXT NOT NULL,
    verdict TEXT NOT NULL,
    tested_on TEXT NOT NULL,
    tested_at TEXT,
    as_found INTEGER NOT NULL,
    CONSTRAINT pk_record_duty PRIMARY KEY (record_id, duty),
    CONSTRAINT fk_record_duty_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_record_duty_record_id_record FOREIGN KEY(record_id) REFERENCES record (id)
)
 WITHOUT ROWID,
 STRICT
CREATE INDEX ix_record_duty_passes ON record_duty (item_id, duty, verdict, tested_on, tested_at, as_found)
CREATE TRIGGER record_duty_no_delete BEFORE DELETE ON record_duty WHEN NOT EXISTS (SELECT 1 FROM taken_back WHERE record_id = old.record_id) AND NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.record_id) BEGIN SELECT RAISE(ABORT, 'record_duty is only ever added to'); END
CREATE TRIGGER record_duty_no_update BEFORE UPDATE ON record_duty BEGIN SELECT RAISE(ABORT, 'record_duty is only ever added to'); END
CREATE TABLE seal (
    seq INTEGER NOT NULL,
    part INTEGER NOT NULL,
    rows BLOB NOT NULL,
    hash TEXT NOT NULL,
    CONSTRAINT pk_seal PRIMARY KEY (seq, part)
)
 STRICT
CREATE TRIGGER seal_no_delete BEFORE DELETE ON seal BEGIN SELECT RAISE(ABORT, 'seal is only ever added to'); END
CREATE TRIGGER seal_no_update BEFORE UPDATE ON seal BEGIN SELECT RAISE(ABORT, 'seal is only ever added to'); END
CREATE TABLE setting (
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    CONSTRAINT pk_setting PRIMARY KEY (name)
)
 STRICT
CREATE TABLE site (
    code TEXT NOT NULL,
    name TEXT NOT NULL,
    owner_id TEXT NOT NULL,
    rulebook TEXT NOT NULL,
    environment TEXT NOT NULL,
    address TEXT NOT NULL,
    access TEXT NOT NULL,
    reading_plan TEXT NOT NULL,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_site PRIMARY KEY (id),
    CONSTRAINT fk_site_owner_id_owner FOREIGN KEY(owner_id) REFERENCES owner (id),
    CONSTRAINT uq_site_code UNIQUE (code)
)
 STRICT
CREATE INDEX ix_site_owner_id ON site (owner_id)
CREATE TABLE site_visiting (
    site_id TEXT NOT NULL,
    place TEXT NOT NULL,
    hours TEXT NOT NULL,
    ready_minutes INTEGER NOT NULL,
    crew INTEGER NOT NULL,
    contact TEXT NOT NULL,
    hazards TEXT NOT NULL,
    CONSTRAINT pk_site_visiting PRIMARY KEY (site_id),
    CONSTRAINT fk_site_visiting_site_id_site FOREIGN KEY(site_id) REFERENCES site (id)
)
 STRICT
CREATE TABLE tag (
    item_id TEXT NOT NULL,
    owner_id TEXT NOT NULL,
    number TEXT NOT NULL,
    since TEXT,
    until TEXT,
    id TEXT NOT NULL,
    CONSTRAINT pk_tag PRIMARY KEY (id),
    CONSTRAINT fk_tag_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_tag_owner_id_owner FOREIGN KEY(owner_id) REFERENCES owner (id),
    CONSTRAINT uq_tag_number_owner_id UNIQUE (number, owner_id)
)
 STRICT
CREATE INDEX ix_tag_item_id ON tag (item_id)
CREATE TABLE tag_range (
    holder TEXT NOT NULL,
    prefix TEXT NOT NULL,
    digits INTEGER NOT NULL,
    first INTEGER NOT NULL,
    last INTEGER NOT NULL,
    following INTEGER NOT NULL,
    ended_on TEXT,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_tag_range PRIMARY KEY (id)
)
 STRICT
CREATE TABLE taken_back (
    record_id TEXT NOT NULL,
    item_id TEXT NOT NULL,
    kept TEXT NOT NULL,
    made_by TEXT NOT NULL,
    made_at TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_taken_back PRIMARY KEY (id)
)
 STRICT
CREATE INDEX ix_taken_back_item_id ON taken_back (item_id)
CREATE INDEX ix_taken_back_record_id ON taken_back (record_id)
CREATE TRIGGER taken_back_no_delete BEFORE DELETE ON taken_back BEGIN SELECT RAISE(ABORT, 'taken_back is only ever added to'); END
CREATE TRIGGER taken_back_no_update BEFORE UPDATE ON taken_back BEGIN SELECT RAISE(ABORT, 'taken_back is only ever added to'); END
CREATE TABLE tester (
    name TEXT NOT NULL,
    licence TEXT NOT NULL,
    expires_on TEXT,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_tester PRIMARY KEY (id),
    CONSTRAINT uq_tester_name UNIQUE (name)
)
 STRICT
CREATE TABLE van (
    name TEXT NOT NULL,
    position INTEGER NOT NULL,
    start INTEGER NOT NULL,
    until INTEGER NOT NULL,
    crew INTEGER NOT NULL,
    days TEXT NOT NULL,
    start_place TEXT NOT NULL,
    end_place TEXT NOT NULL,
    ended_on TEXT,
    version INTEGER NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_van PRIMARY KEY (id),
    CONSTRAINT uq_van_name UNIQUE (name)
)
 STRICT
CREATE TABLE visit (
    week TEXT NOT NULL,
    site_id TEXT NOT NULL,
    part INTEGER NOT NULL,
    day TEXT NOT NULL,
    van_id TEXT NOT NULL,
    position INTEGER NOT NULL,
    arrive INTEGER NOT NULL,
    leave INTEGER NOT NULL,
    minutes INTEGER NOT NULL,
    doing TEXT NOT NULL,
    pinned INTEGER NOT NULL,
    locked INTEGER NOT NULL,
    cancelled INTEGER NOT NULL,
    sequence INTEGER NOT NULL,
    tags_first TEXT NOT NULL,
    tags_last TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_visit PRIMARY KEY (id),
    CONSTRAINT fk_visit_site_id_site FOREIGN KEY(site_id) REFERENCES site (id),
    CONSTRAINT fk_visit_van_id_van FOREIGN KEY(van_id) REFERENCES van (id),
    CONSTRAINT uq_visit_week_site_id_part UNIQUE (week, site_id, part)
)
 STRICT
CREATE INDEX ix_visit_day ON visit (day)
CREATE TABLE visit_duty (
    visit_id TEXT NOT NULL,
    item_id TEXT NOT NULL,
    duty TEXT NOT NULL,
    early INTEGER NOT NULL,
    why TEXT NOT NULL,
    CONSTRAINT pk_visit_duty PRIMARY KEY (visit_id, item_id, duty),
    CONSTRAINT fk_visit_duty_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_visit_duty_visit_id_visit FOREIGN KEY(visit_id) REFERENCES visit (id)
)
 WITHOUT ROWID,
 STRICT
CREATE TABLE withdrawal (
    item_id TEXT NOT NULL,
    withdrawn_on TEXT NOT NULL,
    withdrawn_at TEXT,
    reason TEXT NOT NULL,
    detail TEXT NOT NULL,
    tag_number TEXT NOT NULL,
    told TEXT NOT NULL,
    record_id TEXT,
    ended_on TEXT,
    "end" TEXT NOT NULL,
    end_record_id TEXT,
    id TEXT NOT NULL,
    CONSTRAINT pk_withdrawal PRIMARY KEY (id),
    CONSTRAINT fk_withdrawal_end_record_id_record FOREIGN KEY(end_record_id) REFERENCES record (id),
    CONSTRAINT fk_withdrawal_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_withdrawal_record_id_record FOREIGN KEY(record_id) REFERENCES record (id)
)
 STRICT
CREATE INDEX ix_withdrawal_item_id_ended_on ON withdrawal (item_id, ended_on)
CREATE TABLE withdrawal_photo (
    withdrawal_id TEXT NOT NULL,
    item_id TEXT NOT NULL,
    photo_id TEXT NOT NULL,
    added_by TEXT NOT NULL,
    added_at TEXT NOT NULL,
    id TEXT NOT NULL,
    CONSTRAINT pk_withdrawal_photo PRIMARY KEY (id),
    CONSTRAINT fk_withdrawal_photo_item_id_item FOREIGN KEY(item_id) REFERENCES item (id),
    CONSTRAINT fk_withdrawal_photo_photo_id_photo FOREIGN KEY(photo_id) REFERENCES photo (id),
    CONSTRAINT fk_withdrawal_photo_withdrawal_id_withdrawal FOREIGN KEY(withdrawal_id) REFERENCES withdrawal (id),
    CONSTRAINT uq_withdrawal_photo_withdrawal_id_photo_id UNIQUE (withdrawal_id, photo_id)
)
 STRICT
CREATE INDEX ix_withdrawal_photo_item_id ON withdrawal_photo (item_id)
CREATE INDEX ix_withdrawal_photo_photo_id ON withdrawal_photo (photo_id)
