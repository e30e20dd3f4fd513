INSERT INTO learners (student_id, general, last_ridden_at, last_attempt_id)
VALUES (1, '{"rides": 1}', '2026-03-02 12:00:00.000000', '6f1f1c1e5d0b4a3e9c55a0f0c2b7d111');

INSERT INTO standings (student_id, variant_id, rides, clean_rides, last_ridden_at, was_steady,
    state)
VALUES (1, 1, 1, 0, '2026-03-02 12:00:00.000000', false, '{"chance": 0.4}');
