import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useMemo } from 'react';
import { Link, useSearchParams } from 'wouter';
import { isTautlineError } from '../../engine/errors.js';
import { checkLine } from '../../engine/line/check/lineCheck.js';
import { lineDrawingOf } from '../../engine/report/line/lineDrawingOf.js';
import type { LineDrawing } from '../../engine/report/line/model.js';
import { queries } from '../api/queries.js';
import { lineForDrawing } from '../line/forDrawing.js';
import { useUnits } from '../state/units.js';
import { fitSheet, sketch, toSheet } from './sideView/sketch.js';

const room = { width: 1200, height: 92, edge: 5 };

/** The side view along the top of every view: the selected section is lit, and each section is a way to its place in the line. */
export function LineStrip(): ReactNode {
  const { data } = useQuery(queries.line());
  const { system } = useUnits();
  const [search] = useSearchParams();
  const selected = search.get('section') ?? undefined;
  const document = data?.document;
  const drawing = useMemo((): LineDrawing | undefined => {
    if (document === undefined) return undefined;
    try {
      const line = lineForDrawing(document);
      return lineDrawingOf(line, checkLine(line, system), system, {
        hasDetails: false,
        ...(selected !== undefined && { selected }),
      });
    } catch (error) {
      if (isTautlineError(error)) return undefined;
      throw error;
    }
  }, [document, system, selected]);
  if (drawing === undefined) return <div className="strip" />;
  const sheet = fitSheet(drawing, room);
  const sections = [...new Set(drawing.circles.map((k) => k.section))];
  return (
    <nav className="strip" aria-label="Sections of the line">
      <svg className="line-drawing" viewBox={`0 0 ${room.width} ${room.height}`} aria-hidden="true">
        {/* markup of our own drawing, every text in it escaped */}
        <g dangerouslySetInnerHTML={{ __html: sketch(drawing, sheet) }} />
      </svg>
      {sections.map((section) => {
        const own = drawing.circles.filter((k) => k.section === section);
        const [first] = own;
        if (first === undefined) return null;
        const { x, y } = toSheet(sheet, first.centre);
        const size = Math.max(24, 2 * first.radius * sheet.scale);
        return (
          <Link
            key={section}
            href={`/line?${new URLSearchParams({ section }).toString()}`}
            className="spot"
            title={section}
            aria-current={section === selected ? 'true' : undefined}
            style={{
              left: `${(100 * x) / room.width}%`,
              top: `${(100 * y) / room.height}%`,
              width: `${(100 * size) / room.width}%`,
            }}
          >
            <span className="hidden">{section}</span>
          </Link>
        );
      })}
    </nav>
  );
}
