import type { TensionPerWidth } from '../../units/quantity.js';
import type { Line, Roller, Section } from '../line.js';

/** A stretch of web between two sections that hold its tension, with the rollers that turn in it. */
export interface ZoneRollers {
  readonly from: Section;
  readonly to: Section;
  readonly rollers: readonly { readonly section: Section; readonly roller: Roller }[];
  /** Held behind `from`. */
  readonly atBeginning?: TensionPerWidth;
  /** Held behind the last roller, where `to` holds tension without a drive: a load cell or dancer that a loop reads. */
  readonly atEnd?: TensionPerWidth;
}

/** Sections whose drive holds tension or speed: their own rollers ask nothing of the web. */
const isDrivenBorder = (section: Section): boolean =>
  section.kind === 'unwind' ||
  section.kind === 'winder' ||
  ((section.kind === 'pull-roll' || section.kind === 'dryer') &&
    section.rollers.some((r) => r.drive !== undefined));

/**
 * Tension zones of a line in web order. One begins behind every unwind, winder, driven pull roll and driven dryer, and behind every other section
 * that states a tension, whose own rollers the web still carries in the zone before.
 */
export function zonesOf(line: Line): ZoneRollers[] {
  const zones: ZoneRollers[] = [];
  const drums = new Set(
    line.sections.flatMap((s) => (s.kind === 'winder' ? [s.drum?.name, s.frontDrum?.name] : [])),
  );
  let from: Section | undefined;
  let rollers: { section: Section; roller: Roller }[] = [];
  const close = (to: Section, atEnd?: TensionPerWidth): void => {
    if (from !== undefined)
      zones.push({
        from,
        to,
        rollers,
        ...(from.tensionAfter !== undefined && from !== to && { atBeginning: from.tensionAfter }),
        ...(atEnd !== undefined && { atEnd }),
      });
    from = to;
    rollers = [];
  };
  for (const section of line.sections) {
    if (isDrivenBorder(section)) {
      // The undriven roller of an S-wrap or the drum of a winder belongs to the section that holds the tension.
      close(section);
      continue;
    }
    from ??= section;
    for (const roller of section.rollers) if (!drums.has(roller.name)) rollers.push({ section, roller });
    if (section.tensionAfter !== undefined) close(section, section.tensionAfter);
  }
  const last = line.sections[line.sections.length - 1];
  // A line that is described only in part ends without a winder.
  if (last !== undefined && rollers.length > 0) close(last);
  return zones;
}
