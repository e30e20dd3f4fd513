INSERT INTO syllabuses (id, code, name, most_riding_faults)
VALUES (1, 'module-1', 'Module 1', 5);

INSERT INTO manoeuvres (id, syllabus_id, code, name, exercise, place, minutes, speed_run,
    clean_looks_like, coaching_points, common_mistake, cautions)
VALUES (1, 1, 'avoidance', 'Avoidance', 8, 8, 2.5, true, 'Upright', '["Look"]', 'Late', '[]');

INSERT INTO variants (id, manoeuvre_id, code, name, place)
VALUES (1, 1, 'left', 'to the left', 1),
       (2, 1, 'right', 'to the right', 2);

INSERT INTO minimum_speeds (manoeuvre_id, category, kmh)
VALUES (1, 'AM', 30.0);

INSERT INTO fault_kinds (id, code, name, sided, standing, place)
VALUES (1, 'touched', 'Touched a cone', true, 'common practice, no source', 1);

INSERT INTO manoeuvre_faults (manoeuvre_id, fault_kind_id, severity, place)
VALUES (1, 1, 'riding', 1);

INSERT INTO reference_items (kind, code, version, shipped)
VALUES ('manoeuvre', 'avoidance', 1, '{"name": "Avoidance"}');
