/** As found comes before anything else, as left next; later visits carry a date and sort by it. */
const visitOrder = ['as-found', 'as-left'];
const rank = (visit: string): string => {
  const k = visitOrder.indexOf(visit);
  return k < 0 ? `9${visit}` : String(k);
};

/** Order of two visits in time, as their names state it. */
export const compareVisits = (a: string, b: string): number =>
  rank(a) < rank(b) ? -1 : rank(a) > rank(b) ? 1 : 0;
