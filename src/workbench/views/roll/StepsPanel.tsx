import { type ReactNode, useState } from 'react';
import type { AfterWindingDocument } from '../../../engine/project/roll/afterWindingDocument.js';
import type { RollDocument } from '../../../engine/project/roll/rollDocument.js';
import { NumberEntry } from '../../components/NumberEntry.js';
import type { DraftHandle } from '../../state/drafts.js';
import {
  addStep,
  type CoefficientKind,
  type Coefficients,
  removeStep,
  setCoefficients,
  setComesToRest,
  setStepValue,
} from './editRoll.js';

type Step = AfterWindingDocument['steps'][number];

interface Props {
  readonly document: RollDocument;
  readonly text: string;
  readonly handle: DraftHandle;
}

/** What happens to a roll after winding, step by step, and how its web and core answer to it. */
export function StepsPanel({ document, text, handle }: Props): ReactNode {
  const after = document.after_winding;
  const steps = after?.steps ?? [];
  const next = nextStep(document);
  return (
    <section className="panel" aria-labelledby="steps-title">
      <h2 id="steps-title">Steps after winding</h2>
      {steps.length === 0 && <p className="soft">Nothing happens to it yet.</p>}
      {steps.map((step, k) => (
        // a step has no name but its place
        <StepFields
          key={`${k} of ${steps.length}`}
          step={step}
          index={k}
          after={after}
          text={text}
          handle={handle}
        />
      ))}
      <div className="row">
        <button
          type="button"
          disabled={next === undefined}
          onClick={() => next && handle.edit(addStep(text, next), 'a step after winding')}
        >
          Add a step
        </button>
        {next === undefined && <span className="soft">state expansion or swelling first</span>}
      </div>
      <details>
        <summary>Expansion and swelling</summary>
        <CoefficientFields
          key={`expansion ${after?.expansion === undefined}`}
          title="Expansion, 10⁻⁶ per K"
          scale={1e-6}
          stated={
            after?.expansion && {
              along: after.expansion.along_per_K,
              through: after.expansion.through_per_K,
              core: after.expansion.core_per_K,
            }
          }
          onChange={(c) => handle.edit(setCoefficients(text, 'expansion', c), 'expansion')}
          kind="expansion"
        />
        <CoefficientFields
          key={`swelling ${after?.swelling === undefined}`}
          title="Swelling, % per % of moisture"
          scale={1}
          stated={after?.swelling}
          onChange={(c) => handle.edit(setCoefficients(text, 'swelling', c), 'swelling')}
          kind="swelling"
        />
        {after?.creep === undefined && (
          <p className="soft">Creep, as shares and times, is stated in the file: after_winding.creep.</p>
        )}
      </details>
    </section>
  );
}

/** What a new step may begin with: the roll comes to rest first, and then only what its coefficients are stated for can change. */
function nextStep({ after_winding: after, speed_m_per_s: speed, web }: RollDocument): Step | undefined {
  const rests = after?.steps.some((s) => s.comes_to_rest === true) === true;
  if (!rests && speed !== undefined && web.density_kgm3 !== undefined) return { comes_to_rest: true };
  if (after?.expansion) return { temperature_change_K: 0 };
  if (after?.swelling) return { moisture_change: 0 };
  return undefined;
}

function StepFields({
  step,
  index,
  after,
  text,
  handle,
}: {
  readonly step: Step;
  readonly index: number;
  readonly after: AfterWindingDocument | undefined;
  readonly text: string;
  readonly handle: DraftHandle;
}): ReactNode {
  const name = `Step ${index + 1}`;
  const isOnly = Object.keys(step).length === 1;
  return (
    <fieldset className="step">
      <legend>{name}</legend>
      <div className="entry">
        <label htmlFor={`rest-${index}`}>Comes to rest</label>
        <span className="field">
          <input
            id={`rest-${index}`}
            type="checkbox"
            checked={step.comes_to_rest === true}
            disabled={step.comes_to_rest === true && isOnly}
            onChange={(e) => handle.edit(setComesToRest(text, index, e.target.checked), `step ${index + 1}`)}
          />
          <button
            type="button"
            className="quiet end"
            aria-label={`Remove step ${index + 1}`}
            onClick={() => handle.edit(removeStep(text, index), `step ${index + 1} removed`)}
          >
            Remove
          </button>
        </span>
      </div>
      {after?.expansion && (
        <NumberEntry
          label="Warms by"
          quantity="temperatureDifference"
          value={step.temperature_change_K}
          onChange={(v) => handle.edit(setStepValue(text, index, 'temperature', v), `step ${index + 1}`)}
        />
      )}
      {after?.swelling && (
        <NumberEntry
          label="Moisture rises by, %"
          value={step.moisture_change === undefined ? undefined : 100 * step.moisture_change}
          onChange={(v) => handle.edit(setStepValue(text, index, 'moisture', v / 100), `step ${index + 1}`)}
        />
      )}
      {after?.creep && (
        <NumberEntry
          label="Creeps for, h"
          value={step.time_s === undefined ? undefined : step.time_s / 3600}
          refuse={(v) => (v > 0 || (v === 0 && !isOnly) ? undefined : 'state a time above 0')}
          onChange={(v) => handle.edit(setStepValue(text, index, 'time', 3600 * v), `step ${index + 1}`)}
        />
      )}
    </fieldset>
  );
}

const parts = { along: 'Along the web', through: 'Through the web', core: 'Core surface' } as const;

/** Three coefficients, which are written once all of them are known. */
function CoefficientFields({
  title,
  kind,
  scale,
  stated,
  onChange,
}: {
  readonly title: string;
  readonly kind: CoefficientKind;
  readonly scale: number;
  readonly stated: Coefficients | undefined;
  readonly onChange: (all: Coefficients) => void;
}): ReactNode {
  const [own, setOwn] = useState<Partial<Coefficients>>({});
  const known: Partial<Coefficients> = { ...own, ...stated };
  const take = (part: keyof Coefficients, value: number): void => {
    const { along, through, core }: Partial<Coefficients> = { ...known, [part]: value };
    setOwn({ ...own, [part]: value });
    if (along !== undefined && through !== undefined && core !== undefined)
      onChange({ along, through, core });
  };
  return (
    <fieldset className="step">
      <legend>{title}</legend>
      {(Object.keys(parts) as (keyof Coefficients)[]).map((part) => (
        <NumberEntry
          key={`${kind} ${part}`}
          label={parts[part]}
          value={known[part] === undefined ? undefined : known[part] / scale}
          onChange={(v) => take(part, v * scale)}
        />
      ))}
      {stated === undefined && Object.keys(own).length > 0 && (
        <p className="soft">Counts once all three are stated.</p>
      )}
    </fieldset>
  );
}
