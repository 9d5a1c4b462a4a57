access.login text NOT NULL
access.role text NOT NULL
access.owner_id uuid
access.id uuid NOT NULL
alembic_version.version_num character varying NOT NULL
area.site_id uuid NOT NULL
area.name text NOT NULL
area.environment text
area.version integer NOT NULL
area.id uuid NOT NULL
code_aside.code text NOT NULL
code_aside.site_id uuid
code_aside.area_id uuid
code_aside.scanned_at timestamp with time zone NOT NULL
code_aside.scanned_by text NOT NULL
code_aside.settled text NOT NULL
code_aside.id uuid NOT NULL
correction.record_id uuid NOT NULL
correction.new_record_id uuid
correction.reason text NOT NULL
correction.made_by text NOT NULL
correction.made_at timestamp with time zone NOT NULL
correction.id uuid NOT NULL
duty.item_id uuid NOT NULL
duty.duty text NOT NULL
duty.site_id uuid NOT NULL
duty.contractors boolean NOT NULL
duty.planned boolean NOT NULL
duty.interval text NOT NULL
duty.last_done date
duty.due date
duty.first_needed boolean NOT NULL
event.seq integer NOT NULL
event.id uuid NOT NULL
event.at text NOT NULL
event.actor text NOT NULL
event.name text NOT NULL
event.subject uuid NOT NULL
event.data text NOT NULL
event.hash text NOT NULL
exposure.item_id uuid NOT NULL
exposure.seq integer NOT NULL
exposure.since date NOT NULL
exposure.site_id uuid NOT NULL
exposure.area_id uuid NOT NULL
exposure.environment text NOT NULL
exposure.place text NOT NULL
exposure.rulebook text NOT NULL
exposure.id uuid NOT NULL
held_limit.id uuid NOT NULL
held_limit.words text NOT NULL
held_limit.least text
held_limit.most text
held_limit.source text NOT NULL
instrument.serial text NOT NULL
instrument.description text NOT NULL
instrument.calibrated_until date
instrument.version integer NOT NULL
instrument.id uuid NOT NULL
intake.file_name text NOT NULL
intake.sha256 text NOT NULL
intake.taken_at timestamp with time zone NOT NULL
intake.counts text NOT NULL
intake.id uuid NOT NULL
item.site_id uuid NOT NULL
item.area_id uuid NOT NULL
item.kind text NOT NULL
item.description text NOT NULL
item.serial text NOT NULL
item.environment text
item.outlets integer NOT NULL
item.rated_current_a text
item.switch text
item.lead text
item.condition text NOT NULL
item.condition_since date
item.scope_reason text NOT NULL
item.battery_run boolean NOT NULL
item.protected_by_switch boolean
item.moved_in_use boolean
item.risk_factor boolean
item.not_found_on date
item.removed_on date
item.removal_reason text NOT NULL
item.replaces_id uuid
item.replaced_by_id uuid
item.remarks text NOT NULL
item.tag_number text NOT NULL
item.state text NOT NULL
item.next_due date
item.untested boolean NOT NULL
item.present_environment text NOT NULL
item.version integer NOT NULL
item.id uuid NOT NULL
item_text.row integer NOT NULL DEFAULT nextval('item_text_row_seq'::regclass)
item_text.item_id uuid NOT NULL
item_text.text text NOT NULL
let_go.id uuid NOT NULL
let_go.kind text NOT NULL
let_go.item_id uuid NOT NULL
let_go.day date NOT NULL
let_go.let_go_by text NOT NULL
let_go.let_go_at timestamp with time zone NOT NULL
mark.item_id uuid NOT NULL
mark.duty text NOT NULL
mark.done_on date NOT NULL
mark.told_by text NOT NULL
mark.id uuid NOT NULL
override.scope text NOT NULL
override.target_id uuid NOT NULL
override.duty text NOT NULL
override.interval text NOT NULL
override.reason text NOT NULL
override.approver text NOT NULL
override.approved_on date NOT NULL
override.review_on date NOT NULL
override.ended_on date
override.end_reason text NOT NULL
override.version integer NOT NULL
override.id uuid NOT NULL
owner.name text NOT NULL
owner.contact text NOT NULL
owner.version integer NOT NULL
owner.id uuid NOT NULL
owner_query.item_id uuid NOT NULL
owner_query.workbook text NOT NULL
owner_query.asks text NOT NULL
owner_query.text text NOT NULL
owner_query.asked_by text NOT NULL
owner_query.asked_on date NOT NULL
owner_query.settled_on date
owner_query.settled_by text NOT NULL
owner_query.settlement text NOT NULL
owner_query.id uuid NOT NULL
pack.sites text NOT NULL
pack.holder text NOT NULL
pack.made_at timestamp with time zone NOT NULL
pack.made_on date NOT NULL
pack.expires_on date NOT NULL
pack.items integer NOT NULL
pack.merged_at timestamp with time zone
pack.counts text NOT NULL
pack.id uuid NOT NULL
pack_base.kind text NOT NULL
pack_base.key text NOT NULL
pack_base.kept text
photo.id uuid NOT NULL
photo.sha256 text NOT NULL
photo.form text NOT NULL
photo.width integer NOT NULL
photo.height integer NOT NULL
photo.picture bytea NOT NULL
reading.record_id uuid NOT NULL
reading.number integer NOT NULL
reading.quantity text NOT NULL
reading.outlet integer
reading.half_cycle integer
reading.multiple text
reading.test_current text
reading.value text NOT NULL
reading.unit text NOT NULL
reading.bound text NOT NULL
reading.result text
reading.limit_id uuid
reading.why text NOT NULL
record.item_id uuid NOT NULL
record.tested_on date NOT NULL
record.tested_at text
record.tester text NOT NULL
record.instrument text NOT NULL
record.set_up text
record.look text
record.verdict text NOT NULL
record.why text NOT NULL
record.as_found boolean NOT NULL
record.rulebook text NOT NULL
record.rulebook_version text NOT NULL
record.environment text NOT NULL
record.look_limit_id uuid
record.missing text NOT NULL
record.remarks text NOT NULL
record.warnings text NOT NULL
record.content text NOT NULL
record.recorded_at timestamp with time zone NOT NULL
record.id uuid NOT NULL
record_duty.record_id uuid NOT NULL
record_duty.duty text NOT NULL
record_duty.item_id uuid NOT NULL
record_duty.verdict text NOT NULL
record_duty.tested_on date NOT NULL
record_duty.tested_at text
record_duty.as_found boolean NOT NULL
seal.seq integer NOT NULL
seal.part integer NOT NULL
seal.rows bytea NOT NULL
seal.hash text NOT NULL
setting.name text NOT NULL
setting.value text NOT NULL
site.code text NOT NULL
site.name text NOT NULL
site.owner_id uuid NOT NULL
site.rulebook text NOT NULL
site.environment text NOT NULL
site.address text NOT NULL
site.access text NOT NULL
site.reading_plan text NOT NULL
site.version integer NOT NULL
site.id uuid NOT NULL
site_visiting.site_id uuid NOT NULL
site_visiting.place text NOT NULL
site_visiting.hours text NOT NULL
site_visiting.ready_minutes integer NOT NULL
site_visiting.crew integer NOT NULL
site_visiting.contact text NOT NULL
site_visiting.hazards text NOT NULL
tag.item_id uuid NOT NULL
tag.owner_id uuid NOT NULL
tag.number text NOT NULL
tag.since date
tag.until date
tag.id uuid NOT NULL
tag_range.holder text NOT NULL
tag_range.prefix text NOT NULL
tag_range.digits integer NOT NULL
tag_range.first integer NOT NULL
tag_range.last integer NOT NULL
tag_range.following integer NOT NULL
tag_range.ended_on date
tag_range.version integer NOT NULL
tag_range.id uuid NOT NULL
taken_back.record_id uuid NOT NULL
taken_back.item_id uuid NOT NULL
taken_back.kept text NOT NULL
taken_back.made_by text NOT NULL
taken_back.made_at timestamp with time zone NOT NULL
taken_back.id uuid NOT NULL
tester.name text NOT NULL
tester.licence text NOT NULL
tester.expires_on date
tester.version integer NOT NULL
tester.id uuid NOT NULL
van.name text NOT NULL
van.position integer NOT NULL
van.start integer NOT NULL
van.until integer NOT NULL
van.crew integer NOT NULL
van.days text NOT NULL
van.start_place text NOT NULL
van.end_place text NOT NULL
van.ended_on date
van.version integer NOT NULL
van.id uuid NOT NULL
visit.week date NOT NULL
visit.site_id uuid NOT NULL
visit.part integer NOT NULL
visit.day date NOT NULL
visit.van_id uuid NOT NULL
visit.position integer NOT NULL
visit.arrive integer NOT NULL
visit.leave integer NOT NULL
visit.minutes integer NOT NULL
visit.doing text NOT NULL
visit.pinned boolean NOT NULL
visit.locked boolean NOT NULL
visit.cancelled boolean NOT NULL
visit.sequence integer NOT NULL
visit.tags_first text NOT NULL
visit.tags_last text NOT NULL
visit.id uuid NOT NULL
visit_duty.visit_id uuid NOT NULL
visit_duty.item_id uuid NOT NULL
visit_duty.duty text NOT NULL
visit_duty.early boolean NOT NULL
visit_duty.why text NOT NULL
withdrawal.item_id uuid NOT NULL
withdrawal.withdrawn_on date NOT NULL
withdrawal.withdrawn_at text
withdrawal.reason text NOT NULL
withdrawal.detail text NOT NULL
withdrawal.tag_number text NOT NULL
withdrawal.told text NOT NULL
withdrawal.record_id uuid
withdrawal.ended_on date
withdrawal.end text NOT NULL
withdrawal.end_record_id uuid
withdrawal.id uuid NOT NULL
withdrawal_photo.withdrawal_id uuid NOT NULL
withdrawal_photo.item_id uuid NOT NULL
withdrawal_photo.photo_id uuid NOT NULL
withdrawal_photo.added_by text NOT NULL
withdrawal_photo.added_at timestamp with time zone NOT NULL
withdrawal_photo.id uuid NOT NULL
access: fk_access_owner_id_owner FOREIGN KEY (owner_id) REFERENCES owner(id)
access: pk_access PRIMARY KEY (id)
access: uq_access_login_owner_id UNIQUE (login, owner_id)
alembic_version: alembic_version_pkc PRIMARY KEY (version_num)
area: fk_area_site_id_site FOREIGN KEY (site_id) REFERENCES site(id)
area: pk_area PRIMARY KEY (id)
area: uq_area_site_id_name UNIQUE (site_id, name)
code_aside: fk_code_aside_area_id_area FOREIGN KEY (area_id) REFERENCES area(id)
code_aside: fk_code_aside_site_id_site FOREIGN KEY (site_id) REFERENCES site(id)
code_aside: pk_code_aside PRIMARY KEY (id)
correction: fk_correction_new_record_id_record FOREIGN KEY (new_record_id) REFERENCES record(id)
correction: fk_correction_record_id_record FOREIGN KEY (record_id) REFERENCES record(id)
correction: pk_correction PRIMARY KEY (id)
correction: uq_correction_record_id UNIQUE (record_id)
duty: pk_duty PRIMARY KEY (item_id, duty)
event: pk_event PRIMARY KEY (seq)
event: uq_event_id UNIQUE (id)
exposure: fk_exposure_area_id_area FOREIGN KEY (area_id) REFERENCES area(id)
exposure: fk_exposure_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
exposure: fk_exposure_site_id_site FOREIGN KEY (site_id) REFERENCES site(id)
exposure: pk_exposure PRIMARY KEY (id)
exposure: uq_exposure_item_id_seq UNIQUE (item_id, seq)
held_limit: pk_held_limit PRIMARY KEY (id)
instrument: pk_instrument PRIMARY KEY (id)
instrument: uq_instrument_serial UNIQUE (serial)
intake: pk_intake PRIMARY KEY (id)
item: fk_item_area_id_area FOREIGN KEY (area_id) REFERENCES area(id)
item: fk_item_replaced_by_id_item FOREIGN KEY (replaced_by_id) REFERENCES item(id)
item: fk_item_replaces_id_item FOREIGN KEY (replaces_id) REFERENCES item(id)
item: fk_item_site_id_site FOREIGN KEY (site_id) REFERENCES site(id)
item: pk_item PRIMARY KEY (id)
item_text: fk_item_text_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
item_text: pk_item_text PRIMARY KEY ("row")
item_text: uq_item_text_item_id UNIQUE (item_id)
let_go: pk_let_go PRIMARY KEY (id)
mark: fk_mark_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
mark: pk_mark PRIMARY KEY (id)
mark: uq_mark_item_id_duty_done_on UNIQUE (item_id, duty, done_on)
override: pk_override PRIMARY KEY (id)
owner: pk_owner PRIMARY KEY (id)
owner: uq_owner_name UNIQUE (name)
owner_query: fk_owner_query_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
owner_query: pk_owner_query PRIMARY KEY (id)
owner_query: uq_owner_query_item_id_workbook_asks_text UNIQUE (item_id, workbook, asks, text)
pack: pk_pack PRIMARY KEY (id)
pack_base: pk_pack_base PRIMARY KEY (kind, key)
photo: pk_photo PRIMARY KEY (id)
reading: fk_reading_limit_id_held_limit FOREIGN KEY (limit_id) REFERENCES held_limit(id)
reading: fk_reading_record_id_record FOREIGN KEY (record_id) REFERENCES record(id)
reading: pk_reading PRIMARY KEY (record_id, number)
record: fk_record_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
record: fk_record_look_limit_id_held_limit FOREIGN KEY (look_limit_id) REFERENCES held_limit(id)
record: pk_record PRIMARY KEY (id)
record: uq_record_item_id_content UNIQUE (item_id, content)
record_duty: fk_record_duty_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
record_duty: fk_record_duty_record_id_record FOREIGN KEY (record_id) REFERENCES record(id)
record_duty: pk_record_duty PRIMARY KEY (record_id, duty)
seal: pk_seal PRIMARY KEY (seq, part)
setting: pk_setting PRIMARY KEY (name)
site: fk_site_owner_id_owner FOREIGN KEY (owner_id) REFERENCES owner(id)
site: pk_site PRIMARY KEY (id)
site: uq_site_code UNIQUE (code)
site_visiting: fk_site_visiting_site_id_site FOREIGN KEY (site_id) REFERENCES site(id)
site_visiting: pk_site_visiting PRIMARY KEY (site_id)
tag: fk_tag_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
tag: fk_tag_owner_id_owner FOREIGN KEY (owner_id) REFERENCES owner(id)
tag: pk_tag PRIMARY KEY (id)
tag: uq_tag_number_owner_id UNIQUE (number, owner_id)
tag_range: pk_tag_range PRIMARY KEY (id)
taken_back: pk_taken_back PRIMARY KEY (id)
tester: pk_tester PRIMARY KEY (id)
tester: uq_tester_name UNIQUE (name)
van: pk_van PRIMARY KEY (id)
van: uq_van_name UNIQUE (name)
visit: fk_visit_site_id_site FOREIGN KEY (site_id) REFERENCES site(id)
visit: fk_visit_van_id_van FOREIGN KEY (van_id) REFERENCES van(id)
visit: pk_visit PRIMARY KEY (id)
visit: uq_visit_week_site_id_part UNIQUE (week, site_id, part)
visit_duty: fk_visit_duty_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
visit_duty: fk_visit_duty_visit_id_visit FOREIGN KEY (visit_id) REFERENCES visit(id)
visit_duty: pk_visit_duty PRIMARY KEY (visit_id, item_id, duty)
withdrawal: fk_withdrawal_end_record_id_record FOREIGN KEY (end_record_id) REFERENCES record(id)
withdrawal: fk_withdrawal_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
withdrawal: fk_withdrawal_record_id_record FOREIGN KEY (record_id) REFERENCES record(id)
withdrawal: pk_withdrawal PRIMARY KEY (id)
withdrawal_photo: fk_withdrawal_photo_item_id_item FOREIGN KEY (item_id) REFERENCES item(id)
withdrawal_photo: fk_withdrawal_photo_photo_id_photo FOREIGN KEY (photo_id) REFERENCES photo(id)
withdrawal_photo: fk_withdrawal_photo_withdrawal_id_withdrawal FOREIGN KEY (withdrawal_id) REFERENCES withdrawal(id)
withdrawal_photo: pk_withdrawal_photo PRIMARY KEY (id)
withdrawal_photo: uq_withdrawal_photo_withdrawal_id_photo_id UNIQUE (withdrawal_id, photo_id)
CREATE UNIQUE INDEX alembic_version_pkc ON public.alembic_version USING btree (version_num)
CREATE INDEX ix_code_aside_code ON public.code_aside USING btree (code)
CREATE INDEX ix_duty_planned_due ON public.duty USING btree (planned, due, item_id, duty, first_needed, contractors)
CREATE INDEX ix_duty_site_id_planned_due ON public.duty USING btree (site_id, planned, due, item_id, duty, first_needed, contractors)
CREATE INDEX ix_event_subject ON public.event USING btree (subject)
CREATE INDEX ix_intake_sha256 ON public.intake USING btree (sha256)
CREATE INDEX ix_item_area_id ON public.item USING btree (area_id)
CREATE INDEX ix_item_description ON public.item USING btree (description, id, state)
CREATE INDEX ix_item_kind ON public.item USING btree (kind, id, state)
CREATE INDEX ix_item_next_due ON public.item USING btree (next_due NULLS FIRST, id, state)
CREATE INDEX ix_item_site_id_state_next_due ON public.item USING btree (site_id, state, next_due NULLS FIRST, id, untested)
CREATE INDEX ix_item_state_next_due ON public.item USING btree (state, next_due NULLS FIRST, id, untested)
CREATE INDEX ix_item_tag_number ON public.item USING btree (tag_number, id, state)
CREATE INDEX ix_let_go_item_id ON public.let_go USING btree (item_id)
CREATE INDEX ix_override_target_id ON public.override USING btree (target_id)
CREATE INDEX ix_record_duty_passes ON public.record_duty USING btree (item_id, duty, verdict, tested_on, tested_at, as_found)
CREATE INDEX ix_record_item_id_tested_on ON public.record USING btree (item_id, tested_on, id)
CREATE INDEX ix_record_tested_on ON public.record USING btree (tested_on)
CREATE INDEX ix_site_owner_id ON public.site USING btree (owner_id)
CREATE INDEX ix_tag_item_id ON public.tag USING btree (item_id)
CREATE INDEX ix_taken_back_item_id ON public.taken_back USING btree (item_id)
CREATE INDEX ix_taken_back_record_id ON public.taken_back USING btree (record_id)
CREATE INDEX ix_visit_day ON public.visit USING btree (day)
CREATE INDEX ix_withdrawal_item_id_ended_on ON public.withdrawal USING btree (item_id, ended_on)
CREATE INDEX ix_withdrawal_photo_item_id ON public.withdrawal_photo USING btree (item_id)
CREATE INDEX ix_withdrawal_photo_photo_id ON public.withdrawal_photo USING btree (photo_id)
CREATE UNIQUE INDEX pk_access ON public.access USING btree (id)
CREATE UNIQUE INDEX pk_area ON public.area USING btree (id)
CREATE UNIQUE INDEX pk_code_aside ON public.code_aside USING btree (id)
CREATE UNIQUE INDEX pk_correction ON public.correction USING btree (id)
CREATE UNIQUE INDEX pk_duty ON public.duty USING btree (item_id, duty)
CREATE UNIQUE INDEX pk_event ON public.event USING btree (seq)
CREATE UNIQUE INDEX pk_exposure ON public.exposure USING btree (id)
CREATE UNIQUE INDEX pk_held_limit ON public.held_limit USING btree (id)
CREATE UNIQUE INDEX pk_instrument ON public.instrument USING btree (id)
CREATE UNIQUE INDEX pk_intake ON public.intake USING btree (id)
CREATE UNIQUE INDEX pk_item ON public.item USING btree (id)
CREATE UNIQUE INDEX pk_item_text ON public.item_text USING btree ("row")
CREATE UNIQUE INDEX pk_let_go ON public.let_go USING btree (id)
CREATE UNIQUE INDEX pk_mark ON public.mark USING btree (id)
CREATE UNIQUE INDEX pk_override ON public.override USING btree (id)
CREATE UNIQUE INDEX pk_owner ON public.owner USING btree (id)
CREATE UNIQUE INDEX pk_owner_query ON public.owner_query USING btree (id)
CREATE UNIQUE INDEX pk_pack ON public.pack USING btree (id)
CREATE UNIQUE INDEX pk_pack_base ON public.pack_base USING btree (kind, key)
CREATE UNIQUE INDEX pk_photo ON public.photo USING btree (id)
CREATE UNIQUE INDEX pk_reading ON public.reading USING btree (record_id, number)
CREATE UNIQUE INDEX pk_record ON public.record USING btree (id)
CREATE UNIQUE INDEX pk_record_duty ON public.record_duty USING btree (record_id, duty)
CREATE UNIQUE INDEX pk_seal ON public.seal USING btree (seq, part)
CREATE UNIQUE INDEX pk_setting ON public.setting USING btree (name)
CREATE UNIQUE INDEX pk_site ON public.site USING btree (id)
CREATE UNIQUE INDEX pk_site_visiting ON public.site_visiting USING btree (site_id)
CREATE UNIQUE INDEX pk_tag ON public.tag USING btree (id)
CREATE UNIQUE INDEX pk_tag_range ON public.tag_range USING btree (id)
CREATE UNIQUE INDEX pk_taken_back ON public.taken_back USING btree (id)
CREATE UNIQUE INDEX pk_tester ON public.tester USING btree (id)
CREATE UNIQUE INDEX pk_van ON public.van USING btree (id)
CREATE UNIQUE INDEX pk_visit ON public.visit USING btree (id)
CREATE UNIQUE INDEX pk_visit_duty ON public.visit_duty USING btree (visit_id, item_id, duty)
CREATE UNIQUE INDEX pk_withdrawal ON public.withdrawal USING btree (id)
CREATE UNIQUE INDEX pk_withdrawal_photo ON public.withdrawal_photo USING btree (id)
CREATE UNIQUE INDEX uq_access_login_owner_id ON public.access USING btree (login, owner_id)
CREATE UNIQUE INDEX uq_area_site_id_name ON public.area USING btree (site_id, name)
CREATE UNIQUE INDEX uq_correction_record_id ON public.correction USING btree (record_id)
CREATE UNIQUE INDEX uq_event_id ON public.event USING btree (id)
CREATE UNIQUE INDEX uq_exposure_item_id_seq ON public.exposure USING btree (item_id, seq)
CREATE UNIQUE INDEX uq_instrument_serial ON public.instrument USING btree (serial)
CREATE UNIQUE INDEX uq_item_text_item_id ON public.item_text USING btree (item_id)
CREATE UNIQUE INDEX uq_mark_item_id_duty_done_on ON public.mark USING btree (item_id, duty, done_on)
CREATE UNIQUE INDEX uq_owner_name ON public.owner USING btree (name)
CREATE UNIQUE INDEX uq_owner_query_item_id_workbook_asks_text ON public.owner_query USING btree (item_id, workbook, asks, text)
CREATE UNIQUE INDEX uq_record_item_id_content ON public.record USING btree (item_id, content)
CREATE UNIQUE INDEX uq_site_code ON public.site USING btree (code)
CREATE UNIQUE INDEX uq_tag_number_owner_id ON public.tag USING btree (number, owner_id)
CREATE UNIQUE INDEX uq_tester_name ON public.tester USING btree (name)
CREATE UNIQUE INDEX uq_van_name ON public.van USING btree (name)
CREATE UNIQUE INDEX uq_visit_week_site_id_part ON public.visit USING btree (week, site_id, part)
CREATE UNIQUE INDEX uq_withdrawal_photo_withdrawal_id_photo_id ON public.withdrawal_photo USING btree (withdrawal_id, photo_id)
CREATE TRIGGER event_in_order BEFORE INSERT ON public.event FOR EACH ROW EXECUTE FUNCTION event_in_order()
CREATE TRIGGER event_no_delete BEFORE DELETE ON public.event FOR EACH ROW EXECUTE FUNCTION event_only_added_to()
CREATE TRIGGER event_no_truncate BEFORE TRUNCATE ON public.event FOR EACH STATEMENT EXECUTE FUNCTION event_only_added_to()
CREATE TRIGGER event_no_update BEFORE UPDATE ON public.event FOR EACH ROW EXECUTE FUNCTION event_only_added_to()
CREATE TRIGGER held_limit_no_delete BEFORE DELETE ON public.held_limit FOR EACH ROW EXECUTE FUNCTION held_limit_only_added_to()
CREATE TRIGGER held_limit_no_truncate BEFORE TRUNCATE ON public.held_limit FOR EACH STATEMENT EXECUTE FUNCTION held_limit_only_added_to()
CREATE TRIGGER held_limit_no_update BEFORE UPDATE ON public.held_limit FOR EACH ROW EXECUTE FUNCTION held_limit_only_added_to()
CREATE TRIGGER let_go_no_delete BEFORE DELETE ON public.let_go FOR EACH ROW EXECUTE FUNCTION let_go_only_added_to()
CREATE TRIGGER let_go_no_truncate BEFORE TRUNCATE ON public.let_go FOR EACH STATEMENT EXECUTE FUNCTION let_go_only_added_to()
CREATE TRIGGER let_go_no_update BEFORE UPDATE ON public.let_go FOR EACH ROW EXECUTE FUNCTION let_go_only_added_to()
CREATE TRIGGER photo_no_delete BEFORE DELETE ON public.photo FOR EACH ROW EXECUTE FUNCTION photo_only_added_to()
CREATE TRIGGER photo_no_truncate BEFORE TRUNCATE ON public.photo FOR EACH STATEMENT EXECUTE FUNCTION photo_only_added_to()
CREATE TRIGGER photo_no_update BEFORE UPDATE ON public.photo FOR EACH ROW EXECUTE FUNCTION photo_only_added_to()
CREATE TRIGGER reading_no_delete BEFORE DELETE ON public.reading FOR EACH ROW EXECUTE FUNCTION reading_only_added_to()
CREATE TRIGGER reading_no_truncate BEFORE TRUNCATE ON public.reading FOR EACH STATEMENT EXECUTE FUNCTION reading_only_added_to()
CREATE TRIGGER reading_no_update BEFORE UPDATE ON public.reading FOR EACH ROW EXECUTE FUNCTION reading_only_added_to()
CREATE TRIGGER record_no_delete BEFORE DELETE ON public.record FOR EACH ROW EXECUTE FUNCTION record_only_added_to()
CREATE TRIGGER record_no_truncate BEFORE TRUNCATE ON public.record FOR EACH STATEMENT EXECUTE FUNCTION record_only_added_to()
CREATE TRIGGER record_no_update BEFORE UPDATE ON public.record FOR EACH ROW EXECUTE FUNCTION record_only_added_to()
CREATE TRIGGER record_duty_no_delete BEFORE DELETE ON public.record_duty FOR EACH ROW EXECUTE FUNCTION record_duty_only_added_to()
CREATE TRIGGER record_duty_no_truncate BEFORE TRUNCATE ON public.record_duty FOR EACH STATEMENT EXECUTE FUNCTION record_duty_only_added_to()
CREATE TRIGGER record_duty_no_update BEFORE UPDATE ON public.record_duty FOR EACH ROW EXECUTE FUNCTION record_duty_only_added_to()
CREATE TRIGGER seal_no_delete BEFORE DELETE ON public.seal FOR EACH ROW EXECUTE FUNCTION seal_only_added_to()
CREATE TRIGGER seal_no_truncate BEFORE TRUNCATE ON public.seal FOR EACH STATEMENT EXECUTE FUNCTION seal_only_added_to()
CREATE TRIGGER seal_no_update BEFORE UPDATE ON public.seal FOR EACH ROW EXECUTE FUNCTION seal_only_added_to()
CREATE TRIGGER taken_back_no_delete BEFORE DELETE ON public.taken_back FOR EACH ROW EXECUTE FUNCTION taken_back_only_added_to()
CREATE TRIGGER taken_back_no_truncate BEFORE TRUNCATE ON public.taken_back FOR EACH STATEMENT EXECUTE FUNCTION taken_back_only_added_to()
CREATE TRIGGER taken_back_no_update BEFORE UPDATE ON public.taken_back FOR EACH ROW EXECUTE FUNCTION taken_back_only_added_to()
event_in_order as its owner:  BEGIN IF new.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event) THEN RAISE 'events are added in order' USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN new; END
event_only_added_to:  BEGIN  RAISE 'event is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
held_limit_only_added_to:  BEGIN  RAISE 'held_limit is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
let_go_only_added_to:  BEGIN  RAISE 'let_go is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
photo_only_added_to:  BEGIN IF tg_op = 'DELETE' THEN IF NOT (NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.id)) THEN RETURN old; END IF; END IF; RAISE 'photo is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
reading_only_added_to:  BEGIN IF tg_op = 'DELETE' THEN IF NOT (NOT EXISTS (SELECT 1 FROM taken_back WHERE record_id = old.record_id) AND NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.record_id)) THEN RETURN old; END IF; END IF; RAISE 'reading is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
record_duty_only_added_to:  BEGIN IF tg_op = 'DELETE' THEN IF NOT (NOT EXISTS (SELECT 1 FROM taken_back WHERE record_id = old.record_id) AND NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.record_id)) THEN RETURN old; END IF; END IF; RAISE 'record_duty is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
record_only_added_to:  BEGIN IF tg_op = 'DELETE' THEN IF NOT (NOT EXISTS (SELECT 1 FROM taken_back WHERE record_id = old.id) AND NOT EXISTS (SELECT 1 FROM let_go WHERE id = old.id)) THEN RETURN old; END IF; END IF; RAISE 'record is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
seal_only_added_to:  BEGIN  RAISE 'seal is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
taken_back_only_added_to:  BEGIN  RAISE 'taken_back is only ever added to' USING ERRCODE = 'integrity_constraint_violation'; END
