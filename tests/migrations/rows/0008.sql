INSERT INTO learners (student_id, last_ridden_at, rough_chance, level, level_variance, form,
                      form_variance, state)
VALUES (1, '2026-03-02 12:00:00.000000', 0.25, 0.1, 1.2, 0.0, 0.6, '{"rides": 1}');

INSERT INTO standings (student_id, variant_id, rides, clean_rides, run, run_over, serious, again,
                       riding, own, own_variance, last_ridden_at, state)
VALUES (1, 1, 1, 0, 0, 0, 1, 0, 2, 0.1, 0.3, '2026-03-02 12:00:00.000000', '{"chance": 0.4}'),
       (1, 2, 1, 0, 0, 0, 0, 1, 0, -0.1, 0.3, NULL, '{"chance": 0.4}');

INSERT INTO given_chances (appointment_id, chance, passed)
VALUES (1, 0.6, true);

INSERT INTO school_figures (variant_id, ease, practice, rides, students, estimated_at)
VALUES (1, -0.4, 1.1, 240, 12, '2026-03-03 03:00:00.000000');
