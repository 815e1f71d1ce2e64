-- Refining series can be deleted by their makers; what is said of their batches goes with them, the batches stay.

select grant_to_app('refining_series', 'select, insert, update, delete');
