INSERT INTO mock_tests (id, session_id, student_id, recorded_by, side, started_at, ended_at, stopped_reason)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d333', 1, 1, 1, 'left', '2026-03-02 12:00:00.000000', '2026-03-02 12:20:00.000000', NULL),
       ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d444', 1, 1, NULL, NULL, '2026-03-02 13:00:00.000000', '2026-03-02 13:05:00.000000', 'Out of time');

INSERT INTO mock_test_lines (mock_test_id, place, variant_id, left_out)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d333', 1, 1, NULL),
       ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d333', 2, 2, 'This yard has no room for the run at speed.');

INSERT INTO attempts (id, session_id, student_id, variant_id, bike_id, recorded_by, ridden_at,
    received_at, outcome, speed_result, speed_kmh, speed_source, second_try, struck_at, struck_by, struck_reason, mock_test_id, tablet, tablet_seq, skew_seconds)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d111', 1, 1, 1, 1, 1, '2026-03-02 12:00:00.000000', '2026-03-02 15:30:00.000000', 'riding', 'riding_fault', 49.4, 'gate', false, NULL, NULL, NULL, '6f1f1c1e5d0b4a3e9c55a0f0c2b7d333', '6f1f1c1e5d0b4a3e9c55a0f0c2b7d777', 1, 10800),
       ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d222', 1, 1, 2, NULL, NULL, '2026-03-02 15:30:00.000000', '2026-03-02 15:30:00.000000', 'clean', 'no_minimum', NULL, NULL, true, '2026-03-02 15:30:00.000000', 1, 'Wrong rider', NULL, NULL, NULL, 0);

INSERT INTO attempt_faults (attempt_id, place, fault_kind_id, severity, side)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d111', 1, 1, 'riding', 'left'),
       ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d111', 2, 1, 'remark', NULL);

INSERT INTO pending_strikes (ride_id, account_id, reason, received_at)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d888', 1, 'Taken back at once', '2026-03-02 15:30:00.000000');

INSERT INTO safety_checks (session_id, confirmed_by, confirmed_at, checks)
VALUES (1, 1, '2026-03-02 12:00:00.000000', '["The site is clear."]');

INSERT INTO incidents (id, session_id, student_id, bike_id, kind, note, happened_at, received_at, recorded_by, closed_at, closed_by)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d555', 1, 1, 1, 'fall', '', '2026-03-02 12:00:00.000000', '2026-03-02 12:00:00.000000', 1, NULL, NULL),
       ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d666', 1, NULL, NULL, 'near_miss', 'dog', '2026-03-02 12:00:00.000000', '2026-03-02 12:00:00.000000', NULL, '2026-03-02 15:30:00.000000', 1);
