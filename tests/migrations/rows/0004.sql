INSERT INTO yards (id, name, length_m, width_m, places, speed_run, avoidance_left,
    avoidance_right, remarks, open, version)
VALUES (1, 'Long yard', 130.5, 45, 4, true, false, true, '', true, 5);

INSERT INTO bikes (id, label, registration, category, capacity_cc, power_kw, kerb_kg,
    off_road_since, off_road_reason, version)
VALUES (1, 'Bike 1', 'QI21 AAA', 'A', 650, 52.5, 195, NULL, NULL, 1),
       (2, 'Bike 2', 'QI22 AAA', 'A2', 500, 35, 190, '2026-03-02 12:00:00.000000', 'Chain', 4);
