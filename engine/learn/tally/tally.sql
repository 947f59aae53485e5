-- The tally of past tickets, from two tables of a warehouse (standard SQL, nothing but GROUP BY):
--
--   past_tickets(ticket, closed date, cause, how, starts, stops, stage, repair, cured, minutes, age)
--       ids as in the catalog; cause null or '' where none was confirmed; how 'shown' or 'found';
--       cured 0, 1 or null; null where something was not told
--   past_events(ticket, event)
--       what had happened before; `told` below takes every confirmed ticket for one of which that was asked
--
-- ln and power are SQL:2003 (feature T621).
SELECT 'cause' AS kind, COALESCE(cause, '') AS cause, '' AS item, CAST(NULL AS INTEGER) AS k, CAST(NULL AS INTEGER) AS n,
       COUNT(*) AS tickets, CAST(NULL AS DOUBLE PRECISION) AS total, CAST(NULL AS DOUBLE PRECISION) AS squares
  FROM past_tickets GROUP BY COALESCE(cause, '')
UNION ALL
SELECT 'starts', cause, how, stops, starts, COUNT(*), NULL, NULL
  FROM past_tickets WHERE cause <> '' AND starts > 0 AND stops IS NOT NULL GROUP BY cause, how, stops, starts
UNION ALL
SELECT 'stops', cause, stage, NULL, NULL, COUNT(*), NULL, NULL
  FROM past_tickets WHERE cause <> '' AND stage <> '' GROUP BY cause, stage
UNION ALL
SELECT 'told', cause, '', NULL, NULL, COUNT(*), NULL, NULL
  FROM past_tickets WHERE cause <> '' GROUP BY cause
UNION ALL
SELECT 'event', t.cause, e.event, NULL, NULL, COUNT(*), NULL, NULL
  FROM past_tickets t JOIN past_events e ON e.ticket = t.ticket WHERE t.cause <> '' GROUP BY t.cause, e.event
UNION ALL
SELECT 'cure', cause, repair, cured, NULL, COUNT(*), NULL, NULL
  FROM past_tickets WHERE cause <> '' AND repair <> '' AND cured IS NOT NULL GROUP BY cause, repair, cured
UNION ALL
SELECT 'minutes', '', repair, NULL, NULL, COUNT(*), SUM(LN(minutes)), SUM(POWER(LN(minutes), 2))
  FROM past_tickets WHERE repair <> '' AND minutes > 0 GROUP BY repair
UNION ALL
SELECT 'age', '', '', NULL, NULL, COUNT(age), SUM(age), NULL
  FROM past_tickets HAVING COUNT(age) > 0
UNION ALL
SELECT 'days', '', 'first', NULL, NULL, NULL,
       EXTRACT(YEAR FROM MIN(closed)) * 10000 + EXTRACT(MONTH FROM MIN(closed)) * 100 + EXTRACT(DAY FROM MIN(closed)), NULL
  FROM past_tickets HAVING COUNT(closed) > 0
UNION ALL
SELECT 'days', '', 'last', NULL, NULL, NULL,
       EXTRACT(YEAR FROM MAX(closed)) * 10000 + EXTRACT(MONTH FROM MAX(closed)) * 100 + EXTRACT(DAY FROM MAX(closed)), NULL
  FROM past_tickets HAVING COUNT(closed) > 0
