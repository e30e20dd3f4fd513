INSERT INTO training_sessions (id, yard_id, instructor_id, kind, starts_at, ends_at, places,
    surface, windy, surface_remark, remarks, cancelled_at, cancelled_by, version)
VALUES (1, 1, 1, 'module_1', '2026-03-02 12:00:00.000000', '2026-03-02 15:30:00.000000', 4, 'wet', NULL, 'leaves', '', NULL, NULL, 2);

INSERT INTO bookings (id, session_id, student_id, bike_id, state, booked_at, booked_by,
    cancelled_at, cancelled_by, late, version)
VALUES (1, 1, 1, 1, 'attended', '2026-03-02 12:00:00.000000', 1, NULL, NULL, false, 2),
       (2, 1, 1, 1, 'cancelled', '2026-03-02 12:00:00.000000', 1, '2026-03-02 12:00:00.000000', 2, true, 2);

INSERT INTO test_appointments (id, student_id, module, centre, starts_at, bike_id, result)
VALUES (1, 1, 'module_1', 'Port Ellery', '2026-03-02 15:30:00.000000', 1, NULL);
