import { type ReactNode, useMemo } from 'react';
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components';
import { useSearchParams } from 'wouter';
import type { RollPrediction } from '../../../engine/program/roll/predictRoll.js';
import type { RollBand } from '../../../engine/program/roll/rollBand.js';
import type { TaperAdvice } from '../../../engine/program/roll/taperAdvice.js';
import type { Build } from '../../../engine/program/schedule/laws.js';
import { createSchedule } from '../../../engine/program/schedule/schedule.js';
import type { Schedule } from '../../../engine/program/schedule/types.js';
import type { ScheduleDocument } from '../../../engine/project/product/productDocument.js';
import { type RollDocument, toRollInput } from '../../../engine/project/roll/rollDocument.js';
import {
  type ComparedRoll,
  marginCaption,
  rollComparisonFigure,
} from '../../../engine/report/roll/figures.js';
import type { Problem } from '../../api/types.js';
import { FindingList, ProblemBox } from '../../components/FindingItem.js';
import { FigurePlot } from '../../components/plot/FigurePlot.js';
import { Waiting } from '../../components/Waiting.js';
import { asProblem } from '../../line/readLine.js';
import { KnobPanel } from '../../schedules/KnobPanel.js';
import { setSchedule } from '../../schedules/setSchedule.js';
import type { DraftHandle } from '../../state/drafts.js';
import { axisFormat, useUnits } from '../../state/units.js';
import { AfterPanel, AirPanel } from './AfterPanel.js';
import { BandPanel } from './BandPanel.js';
import { ConditionsPanel } from './ConditionsPanel.js';
import { DesignPanel } from './DesignPanel.js';
import { HandlingPanel } from './HandlingPanel.js';
import { RollTable } from './RollTable.js';
import { SlipPanel } from './SlipPanel.js';
import { StepsPanel } from './StepsPanel.js';
import { Summary } from './Summary.js';
import { TaperPanel } from './TaperPanel.js';
import { useBand } from './useBand.js';
import { type DesignState, useDesign } from './useDesign.js';
import { useRollPrediction } from './useRollPrediction.js';

const knobs = ['tension', 'torque_differential'] as const;
const words = { tension: 'Tension', torque_differential: 'Torque differential' } as const;
type Knob = (typeof knobs)[number];

interface Props {
  readonly document: RollDocument;
  readonly text: string;
  readonly handle: DraftHandle;
  readonly name: string;
}

/** A roll with its schedules to change, and what follows from them. */
export function RollEditor({ document, text, handle, name }: Props): ReactNode {
  const units = useUnits();
  const [search, setSearch] = useSearchParams();
  const { prediction, advice, problem, isWinding } = useRollPrediction(document, units.system);
  const made = useDesign();
  const sure = useBand(document, units.system);
  const band = sure.band.state === 'done' ? sure.band.band : undefined;
  const compared = useMemo(
    () => comparedRolls(document.name ?? name, prediction, advice, made.design, band),
    [document.name, name, prediction, advice, made.design, band],
  );
  const knob = knobs.find((k) => k === search.get('knob') && document.wind[k]) ?? 'tension';
  const shown = search.get('show') === 'slip' ? 'slip' : 'roll';
  const title = document.name ?? name;
  const setParameter = (key: string, value: string): void =>
    setSearch(
      (before) => {
        const next = new URLSearchParams(before);
        next.set(key, value);
        return next;
      },
      { replace: true },
    );
  return (
    <div className="editor">
      <div>
        {prediction === undefined && problem === undefined && <Waiting />}
        {problem && <ProblemBox problem={problem} />}
        {prediction && (
          <div aria-busy={isWinding}>
            <Tabs selectedKey={shown} onSelectionChange={(k) => setParameter('show', String(k))}>
              <TabList className="tabs" aria-label="What is shown">
                <Tab id="roll">In the roll</Tab>
                <Tab id="slip">Slip and limits</Tab>
              </TabList>
              <TabPanel id="roll">
                <RollPlot name={title} rolls={compared} />
                <Findings prediction={prediction} />
                {advice && <TaperPanel advice={advice} />}
                <AirPanel name={title} prediction={prediction} />
                <AfterPanel name={title} prediction={prediction} />
                <RollTable prediction={prediction} />
              </TabPanel>
              <TabPanel id="slip">
                <SlipPanel name={title} prediction={prediction} />
                <Findings prediction={prediction} />
              </TabPanel>
            </Tabs>
          </div>
        )}
      </div>
      <aside className="panel">
        <Tabs selectedKey={knob} onSelectionChange={(k) => setParameter('knob', String(k))}>
          <TabList className="tabs" aria-label="Schedule">
            {knobs
              .filter((k) => document.wind[k] !== undefined)
              .map((k) => (
                <Tab key={k} id={k}>
                  {words[k]}
                </Tab>
              ))}
          </TabList>
          {knobs
            .filter((k) => document.wind[k] !== undefined)
            .map((k) => (
              <TabPanel key={k} id={k}>
                <RollKnob knob={k} document={document} text={text} handle={handle} />
              </TabPanel>
            ))}
        </Tabs>
        <ConditionsPanel document={document} text={text} handle={handle} />
        <HandlingPanel document={document} text={text} handle={handle} />
        <StepsPanel document={document} text={text} handle={handle} />
        <DesignPanel document={document} text={text} handle={handle} made={made} />
        {made.design.state !== 'done' && <BandPanel made={sure} />}
        {prediction && (
          <>
            <h2>What is in the roll</h2>
            <Summary prediction={prediction} />
          </>
        )}
        <p className="soft">
          The equations are verified; whether they hold for a web only a stack test and measured rolls can
          say. A roll holds energy and weight: follow the machine’s risk assessment.
        </p>
      </aside>
    </div>
  );
}

function Findings({ prediction: { findings } }: { readonly prediction: RollPrediction }): ReactNode {
  return (
    <section aria-labelledby="findings-title">
      <h2 id="findings-title">Findings</h2>
      {findings.length === 0 && <p className="soft">Nothing speaks against this roll.</p>}
      <FindingList findings={findings} />
    </section>
  );
}

/** The roll as stated, and beside it what it is held against: a design, else no taper and maximum taper. */
function comparedRolls(
  name: string,
  prediction: RollPrediction | undefined,
  advice: TaperAdvice | undefined,
  design: DesignState,
  band: RollBand | undefined,
): ComparedRoll[] {
  if (prediction === undefined) return [];
  if (design.state === 'done')
    return [
      { name: 'as stated', roll: prediction },
      {
        name: 'designed',
        roll: design.design.prediction,
        ...(design.band && { band: design.band }),
      },
    ];
  const others = (advice?.variants ?? []).filter((v) => v.name !== 'present');
  return [
    { name: others.length === 0 ? name : 'as stated', roll: prediction, ...(band && { band }) },
    ...others.map((v) => ({ name: v.name, roll: v.prediction })),
  ];
}

function RollPlot({
  name,
  rolls,
}: {
  readonly name: string;
  readonly rolls: readonly ComparedRoll[];
}): ReactNode {
  const units = useUnits();
  const figure = useMemo(
    () => rollComparisonFigure('roll', name, rolls, axisFormat(units)),
    [name, rolls, units],
  );
  return (
    <>
      <FigurePlot figure={figure} fileName={name} />
      <p className="soft">{marginCaption(rolls.map((r) => r.roll))}</p>
    </>
  );
}

type Made = { readonly build: Build; readonly schedule: Schedule } | { readonly problem: Problem };

function RollKnob({
  knob,
  document,
  text,
  handle,
}: Omit<Props, 'name'> & { readonly knob: Knob }): ReactNode {
  const stated = document.wind[knob] as ScheduleDocument;
  const made = useMemo((): Made | undefined => {
    try {
      const { core, laps, web, tension, torqueDifferential } = toRollInput(document);
      const build = { core: 2 * core.outerRadius, full: 2 * (core.outerRadius + laps * web.caliper) };
      const law = knob === 'tension' ? tension : torqueDifferential;
      return law && { build, schedule: createSchedule(law, build, { mayBeNegative: knob !== 'tension' }) };
    } catch (error) {
      return { problem: asProblem(error) };
    }
  }, [document, knob]);
  if (made === undefined) return null;
  if ('problem' in made) return <ProblemBox problem={made.problem} />;
  const { build, schedule } = made;
  return (
    <KnobPanel
      knob={knob}
      schedule={stated}
      build={build}
      inForce={{
        start: schedule.start,
        end: schedule.end,
        ...(schedule.taper !== undefined && { taper: schedule.taper }),
      }}
      at={(d) => schedule.at(d)}
      onChange={(after, said) => handle.edit(setSchedule(text, ['wind', knob], stated, after), said)}
      mayStartHard={false}
    />
  );
}
