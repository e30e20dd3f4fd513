INSERT INTO syllabuses (id, code, version, name, caution, pass_rule, speed_rule)
VALUES (1, 'module-1', 3, 'Module 1', 'Stop when in doubt.', '{"riding": 5}', '{"low": 48}');

INSERT INTO manoeuvres (id, syllabus_id, code, name, exercise, place, minutes, speed_run,
    clean_looks_like, coaching_points, common_mistake, cautions, cone_colours,
    not_after_failed, retired)
VALUES (1, 1, 'avoidance', 'Avoidance', 8, 8, 2.5, true, 'Upright', '["Look"]', 'Late', '[]',
    '["blue"]', NULL, false);

INSERT INTO variants (id, manoeuvre_id, code, name, place, retired)
VALUES (1, 1, 'left', 'to the left', 1, false),
       (2, 1, 'right', 'to the right', 2, true);

INSERT INTO minimum_speeds (manoeuvre_id, category, kmh)
VALUES (1, 'AM', 30.0);

INSERT INTO fault_kinds (id, code, name, sided, standing, place, retired)
VALUES (1, 'touched', 'Touched a cone', true, 'common practice, no source', 1, false);

INSERT INTO manoeuvre_faults (manoeuvre_id, fault_kind_id, severity, standing, note)
VALUES (1, 1, 'riding', 'common practice, no source', 'Each cone counts.');

INSERT INTO reference_items (kind, code, version, shipped)
VALUES ('manoeuvre', 'avoidance', 1, '{"name": "Avoidance"}');
