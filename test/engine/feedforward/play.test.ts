// Length: every case plays the same made-up recording.
import { describe, expect, it } from 'vitest';
import { feedForward } from '../../../src/engine/feedforward/feedForward.js';
import { type PlayOptions, playFeedForward } from '../../../src/engine/feedforward/play.js';
import type { PlayedFeedForward } from '../../../src/engine/feedforward/playTypes.js';
import type { Identification } from '../../../src/engine/identify/identification.js';
import type { Drive } from '../../../src/engine/line/drive.js';
import { createRandom } from '../../../src/engine/numerics/random.js';
import { toPlayedDocument } from '../../../src/engine/project/feedforwardPlay.js';
import type { Recording, Role } from '../../../src/engine/recording/recording.js';
import { type Knot, type Profile, polyline, staircase } from '../../support/profiles.js';
import { stated, statedDrive, statedEstimates } from '../../support/statedIdentification.js';

// An INVENTED roller: J = 0.02 kg·m², drag 0.6 + 0.003·ω, both at the motor. A straight law is a table without interpolation error, so
// what remains can be stated to the last digit.
const inertia = 0.02;
const drag = (w: number): number => 0.6 + 0.003 * Math.abs(w);
const law = { inertia: [inertia, 0.0001], coulomb: [0.6, 0.005], viscous: [0.003, 0.00005] } as const;
const interval = 0.01;
/** Gear ratio over roller radius of the stated drive, 2.5 / 0.1 m. */
const perTorque = 25;

type Channels = Partial<Record<Exclude<Role, 'time'>, Float64Array>>;
const recordingOf = (time: Float64Array, channels: Channels): Recording => ({
  time,
  channels: Object.fromEntries(
    Object.entries(channels).map(([role, values]) => [role, { role, header: role, unit: '', values }]),
  ),
  timeSource: { header: 't', unit: 's' },
  findings: [],
  source: { file: 'made-up.csv', sha256: '0'.repeat(64), rows: time.length },
});

/** What the equation of motion asks for: J·α and the drag that goes with the rotation; at rest nothing. */
const torqueOf = ({ value, slope }: Profile, ofInertia = inertia): Float64Array =>
  value.map((w, i) => ofInertia * slope[i]! + (w === 0 ? 0 : Math.sign(w) * drag(w)));

const profile = staircase([20, 60, 100, 140, 40], 3, 25, interval);
const id = stated(law);

const play = (
  recording: Recording,
  options: PlayOptions = { average: 0.2 },
  identification: Identification = id,
  drive: Drive = statedDrive,
): PlayedFeedForward =>
  playFeedForward(recording, drive, identification, feedForward(identification, drive), options);

/** Values whose whole window lies in one straight piece of a profile. */
function insidePieces(played: PlayedFeedForward, of: Profile, half = 0.1): { i: number; slope: number }[] {
  return [...played.time].flatMap((t, i) => {
    const piece = of.pieces.find((p) => of.time[p.start]! <= t - half && t + half <= of.time[p.end - 1]!);
    return piece === undefined || Number.isNaN(played.with[i]!) ? [] : [{ i, slope: piece.slope }];
  });
}

describe('a recording that is exactly inertia and drag', () => {
  const played = play(
    recordingOf(profile.time, { 'motor-speed': profile.value, 'motor-torque': torqueOf(profile) }),
  );

  it('leaves nothing', () => {
    const inside = insidePieces(played, profile);
    expect(inside.length).toBeGreaterThan(500);
    for (const { i } of inside) expect(Math.abs(played.with[i]!)).toBeLessThan(1e-9);
    expect(played.findings).toEqual([]);
    expect(played.beyondTable).toBe(0);
  });

  it('leaves at corners what the trapezoidal rule makes of the jump of the torque', () => {
    // one sample of J·Δα counts whole instead of half; the kernel, a parabola over W, is 3/2·Δt/W at its middle
    const bound = inertia * 25 * 0.5 * 1.5 * (interval / 0.2);
    const worst = Math.max(...[...played.with].filter((v) => !Number.isNaN(v)).map(Math.abs));
    expect(worst).toBeLessThan(1.1 * bound);
    expect(worst).toBeGreaterThan(0.5 * bound);
  });

  it('was the torque itself without it', () => {
    for (const { i, slope } of insidePieces(played, profile)) {
      expect(played.without[i]).toBeCloseTo(inertia * slope + drag(played.speed[i]!), 9);
    }
    expect(played.forcePerTorque).toBe(perTorque);
  });

  it('sums up changes of speed and running, by hand', () => {
    const running = played.summary.find((s) => s.kind === 'running')!;
    const ramps = played.summary.find((s) => s.kind === 'ramp')!;
    expect(running.count).toBe(5);
    expect(ramps.count).toBe(4);
    // running at 140 rad/s is the largest, and its windows reach a corner by no more than half a window
    expect(running.without.peak).toBeGreaterThanOrEqual(drag(140) - 1e-9);
    expect(ramps.without.peak).toBeCloseTo(inertia * 25 + drag(140), 1);
    expect(played.stretches.map((s) => s.kind)).toEqual([
      'running',
      'ramp',
      'running',
      'ramp',
      'running',
      'ramp',
      'running',
      'ramp',
      'running',
    ]);
    const [first] = played.stretches;
    // windows of the last 0.1 s of 2.9 s reach into the ramp, where half of J·α = 0.5 N·m comes on top at most
    expect(first!.without.rms).toBeGreaterThan(drag(20));
    expect(first!.without.rms).toBeLessThan(
      Math.sqrt((2.8 * drag(20) ** 2 + 0.1 * (drag(20) + 0.25) ** 2) / 2.9),
    );
  });
});

describe('an error of the feed-forward', () => {
  it('of 10 % in the inertia leaves 10 % of the inertia part, in ramps only', () => {
    const played = play(
      recordingOf(profile.time, {
        'motor-speed': profile.value,
        'motor-torque': torqueOf(profile, inertia / 0.9),
      }),
    );
    const inside = insidePieces(played, profile);
    for (const { i, slope } of inside) expect(played.with[i]).toBeCloseTo(0.1 * (inertia / 0.9) * slope, 9);
    expect(inside.some(({ slope }) => slope !== 0)).toBe(true);
    // as force at the surface: 0.1·J·α·i/r = 0.1·0.0222·25·25 N, and at corners up to the 0.021 N·m of the trapezoidal rule more
    const peak = played.summary.find((s) => s.kind === 'ramp')!.with.peak * perTorque;
    expect(peak).toBeGreaterThan(1.3888);
    expect(peak).toBeLessThan(1.389 + 0.021 * perTorque);
  });

  it('of 0.05 N·m in the drag leaves that', () => {
    const torque = torqueOf(profile).map((m) => m + 0.05);
    const played = play(recordingOf(profile.time, { 'motor-speed': profile.value, 'motor-torque': torque }));
    for (const { i } of insidePieces(played, profile)) expect(played.with[i]).toBeCloseTo(0.05, 9);
  });

  it('that is the offset of the signal goes when it is asked for', () => {
    const torque = torqueOf(profile).map((m) => m + 0.05);
    const played = play(
      recordingOf(profile.time, { 'motor-speed': profile.value, 'motor-torque': torque }),
      { average: 0.2, removeOffset: true },
      stated({ ...law, offset: [0.05, 0.01] }),
    );
    expect(played.offset).toBe(0.05);
    for (const { i } of insidePieces(played, profile)) expect(Math.abs(played.with[i]!)).toBeLessThan(1e-9);
  });
});

describe('a start from rest', () => {
  // rest, torque rising slowly to a breakaway of 0.95 N·m at 5 s, then a ramp to 60 rad/s at 20 rad/s²
  const knots: Knot[] = [
    [0, 0],
    [5, 0],
    [8, 60],
    [11, 60],
  ];
  const start = polyline(knots, interval);
  const torque = torqueOf(start).map((m, i) => (start.time[i]! < 5 ? 0.19 * start.time[i]! : m));
  const channels = { 'motor-speed': start.value, 'motor-torque': torque };

  it('leaves nothing before it where torque at standstill and assist together hold as much', () => {
    const played = play(
      recordingOf(start.time, channels),
      { average: 0.2 },
      stated({ ...law, breakaway: [0.95, 0.02] }),
    );
    for (const [i, t] of played.time.entries())
      if (t > 0.2 && t < 4.85) expect(Math.abs(played.with[i]!)).toBeLessThan(1e-9);
    expect(played.stretches[0]).toMatchObject({ kind: 'start' });
    // from one window before the rest ends until the assist has faded, 1 s
    expect(played.stretches[0]!.from).toBeCloseTo(4.8, 1);
    expect(played.stretches[0]!.to).toBeCloseTo(6, 1);
  });

  it('leaves what torque at standstill lacks where there is no assist', () => {
    const played = play(recordingOf(start.time, channels));
    const just = played.time.findIndex((t) => t > 4.7);
    // 0.19·t − M(0), and its mean over a symmetric window is that at its middle
    expect(played.with[just]).toBeCloseTo(0.19 * played.time[just]! - 0.6, 9);
    const early = played.time.findIndex((t) => t > 2);
    expect(Math.abs(played.with[early]!)).toBeLessThan(1e-9);
    expect(played.without[early]).toBeCloseTo(0.19 * played.time[early]!, 9);
  });

  it('over-pushes by the assist where the shaft needed none, fading with speed', () => {
    const easy = { ...channels, 'motor-torque': torqueOf(start) };
    const made = stated({ ...law, breakaway: [0.95, 0.02] });
    const played = play(recordingOf(start.time, easy), { average: 0.05 }, made);
    const { assist } = feedForward(made, statedDrive);
    expect(assist?.torque).toBeCloseTo(0.35, 12);
    // at 20 rad/s² the assist is gone at ωf = 5 rad/s, 0.25 s after the start
    const at = (t: number): number => played.with[played.time.findIndex((x) => x >= t - 1e-9)]!;
    expect(at(5.1)).toBeCloseTo(-0.35 * (1 - (20 * 0.1) / 5), 2);
    expect(Math.abs(at(5.4))).toBeLessThan(1e-9);
  });
});

describe('directions and speeds without a table', () => {
  const knots: Knot[] = [
    [0, 50],
    [4, 50],
    [8, -50],
    [12, -50],
  ];
  const both = polyline(knots, interval);
  const recording = recordingOf(both.time, { 'motor-speed': both.value, 'motor-torque': torqueOf(both) });

  it('say nothing of the other direction', () => {
    const played = play(recording);
    const reverse = [...played.time.entries()].filter(([, t]) => t > 8.2 && t < 11.8);
    for (const [i] of reverse) {
      expect(played.with[i]).toBeNaN();
      expect(played.without[i]).toBeCloseTo(-drag(50), 9);
    }
    expect(played.findings.map((f) => [f.code, f.severity])).toEqual([['low_speed_only', 'warn']]);
    expect(played.beyondTable).toBeCloseTo(6, 1);
  });

  it('take the table of the other direction where there is one', () => {
    const played = play(
      recording,
      { average: 0.2 },
      stated(law, { reverse: { estimates: statedEstimates(law) } }),
    );
    // the window over the reversal holds a jump of the drag, which the profile has at a sample
    for (const { i } of insidePieces(played, both))
      if (Math.abs(played.speed[i]!) > 5) expect(Math.abs(played.with[i]!)).toBeLessThan(1e-9);
    expect(played.findings).toEqual([]);
  });

  it('say nothing beyond the last row, but take noise on top speed for top speed', () => {
    const noisy = { 'motor-speed': profile.value, 'motor-torque': torqueOf(profile) };
    const to100 = play(
      recordingOf(profile.time, noisy),
      { average: 0.2 },
      stated(law, { speedRange: [5, 100] }),
    );
    // in the middle of the plateau from 13.8 to 16.8 s
    const at140 = to100.time.findIndex((t) => t > 15);
    expect(to100.with[at140]).toBeNaN();
    expect(to100.findings.map((f) => f.code)).toEqual(['low_speed_only']);
    const to139 = play(
      recordingOf(profile.time, noisy),
      { average: 0.2 },
      stated(law, { speedRange: [5, 139] }),
    );
    expect(to139.with[at140]).toBeCloseTo(drag(140) - drag(139), 9);
    expect(to139.beyondTable).toBe(0);
  });
});

describe('what the recording is like', () => {
  it('a late torque is taken back as the identification found it', () => {
    // the torque column shows what was 30 ms earlier
    const late = torqueOf(profile).map((_, i, m) => m[Math.max(0, i - 3)]!);
    const channels = { 'motor-speed': profile.value, 'motor-torque': late };
    const told = stated(law, { channels: [{ role: 'motor-torque', header: '', unit: '', delay: 0.03 }] });
    const [plain, taken] = [
      play(recordingOf(profile.time, channels)),
      play(recordingOf(profile.time, channels), { average: 0.2 }, told),
    ];
    const ramp = (p: PlayedFeedForward): number => p.summary.find((s) => s.kind === 'ramp')!.with.peak;
    expect(taken.delay).toBe(0.03);
    expect(ramp(plain)).toBeGreaterThan(4 * ramp(taken));
    const early = stated(law, { channels: [{ role: 'motor-speed', header: '', unit: '', delay: 0.03 }] });
    expect(play(recordingOf(profile.time, channels), { average: 0.2 }, early).delay).toBe(-0.03);
  });

  it('with the drive off the torque is none, whatever the column says', () => {
    // runs out from 60 rad/s at α = −M/J of its drag, which is ω̇ = −(0.6 + 0.003·ω)/J
    const seconds = 1.5;
    const tau = inertia / 0.003;
    const steady = polyline(
      [
        [0, 60],
        [4, 60],
        [4 + seconds, 60],
      ],
      interval,
    );
    const speed = steady.time.map((t) => (t < 4 ? 60 : (60 + 200) * Math.exp(-(t - 4) / tau) - 200));
    const torque = steady.time.map((t) => (t < 4 ? drag(60) : 3.21));
    const enabled = steady.time.map((t) => (t < 4 ? 1 : 0));
    const played = play(
      recordingOf(steady.time, { 'motor-speed': speed, 'motor-torque': torque, 'drive-enabled': enabled }),
    );
    const off = [...played.time.entries()].filter(([i, t]) => t > 4.15 && !Number.isNaN(played.with[i]!));
    expect(off.length).toBeGreaterThan(20);
    for (const [i] of off) {
      expect(played.without[i]).toBe(0);
      expect(Math.abs(played.with[i]!)).toBeLessThan(1e-4);
    }
    expect(played.summary.some((s) => s.kind === 'coast')).toBe(true);
  });

  it('noise of speed and torque makes what is stated as noise', () => {
    const random = createRandom('played noise');
    const speed = profile.value.map((w) => w + 0.05 * random.normal());
    const torque = torqueOf(profile).map((m) => m + 0.02 * random.normal());
    const played = play(recordingOf(profile.time, { 'motor-speed': speed, 'motor-torque': torque }), {
      average: 0.1,
    });
    const inside = insidePieces(played, profile, 0.06).map(({ i }) => played.with[i]!);
    const rms = Math.sqrt(inside.reduce((sum, v) => sum + v * v, 0) / inside.length);
    // about 1500 / 10 independent windows: 6 % each way is one standard deviation of the estimate
    expect(rms / played.noise).toBeGreaterThan(0.8);
    expect(rms / played.noise).toBeLessThan(1.2);
  });

  it('a noisy speed gets longer windows by itself', () => {
    const random = createRandom('longer windows');
    const at = (noise: number): number =>
      play(
        recordingOf(profile.time, {
          'motor-speed': profile.value.map((w) => w + noise * random.normal()),
          'motor-torque': torqueOf(profile),
        }),
        {},
      ).average;
    expect(at(0.001)).toBe(0.1);
    expect(at(0.5)).toBeGreaterThan(0.1);
  });

  it('time that is not evenly sampled gives the same', () => {
    const random = createRandom('uneven');
    const kept = [...profile.time.keys()].filter((i) => i % 3 === 0 || random.uniform() < 0.6);
    const pick = (values: Float64Array): Float64Array => Float64Array.from(kept, (i) => values[i]!);
    const played = play(
      recordingOf(pick(profile.time), {
        'motor-speed': pick(profile.value),
        'motor-torque': pick(torqueOf(profile)),
      }),
    );
    const inside = insidePieces(played, profile);
    expect(inside.length).toBeGreaterThan(300);
    for (const { i } of inside) expect(Math.abs(played.with[i]!)).toBeLessThan(1e-9);
  });

  it('a gap stays a gap', () => {
    const torque = torqueOf(profile);
    torque[500] = Number.NaN;
    const played = play(recordingOf(profile.time, { 'motor-speed': profile.value, 'motor-torque': torque }));
    for (const [i, t] of played.time.entries()) if (Math.abs(t - 5) < 0.09) expect(played.with[i]).toBeNaN();
    expect(played.time.findIndex((t, i) => t > 5.11 && !Number.isNaN(played.with[i]!))).toBeGreaterThan(0);
  });
});

describe('refusals', () => {
  const channels = { 'motor-speed': profile.value, 'motor-torque': torqueOf(profile) };
  const codes = (p: PlayedFeedForward): string[] => p.findings.map((f) => f.code);

  it('no torque, the web on, no table', () => {
    const bare = play(recordingOf(profile.time, { 'motor-speed': profile.value }));
    expect([bare.verdict, ...codes(bare)]).toEqual(['refused', 'role_missing']);
    const tension = profile.time.map(() => 200);
    const webOn = play(recordingOf(profile.time, { ...channels, 'web-tension': tension }));
    expect([webOn.verdict, ...codes(webOn)]).toEqual(['refused', 'web_on']);
    const noLaw = play(recordingOf(profile.time, channels), {}, stated({ inertia: law.inertia }));
    expect(noLaw.verdict).toBe('refused');
    expect(noLaw.with).toHaveLength(0);
  });

  it('without inertia the torque for acceleration stays, and a warning says so', () => {
    const { inertia: _, ...dragOnly } = law;
    const played = play(recordingOf(profile.time, channels), { average: 0.2 }, stated(dragOnly));
    expect(codes(played)).toEqual(['inertia_not_identifiable']);
    for (const { i, slope } of insidePieces(played, profile))
      expect(played.with[i]).toBeCloseTo(inertia * slope, 9);
  });

  it('a torque with the other sign is told', () => {
    const turned = { ...channels, 'motor-torque': torqueOf(profile).map((m) => -m) };
    expect(codes(play(recordingOf(profile.time, turned)))).toEqual(['sign_convention']);
  });

  it('a window that is none', () => {
    for (const average of [0, -1, Number.NaN, Number.POSITIVE_INFINITY])
      expect(() => play(recordingOf(profile.time, channels), { average })).toThrow(/average/);
  });

  it('without a roller radius there are torques and no forces', () => {
    const { rollerRadius: _, ...noRadius } = statedDrive;
    const played = play(recordingOf(profile.time, channels), {}, id, noRadius);
    expect(played.forcePerTorque).toBeUndefined();
    const document = toPlayedDocument('x', recordingOf(profile.time, {}).source, played);
    expect(document.summary[0]?.with).not.toHaveProperty('peak_N');
  });
});

describe('the document', () => {
  const torque = torqueOf(profile);
  // a knock of 2 N·m for 50 ms
  for (let i = 700; i < 705; i++) torque[i]! += 2;
  const recording = recordingOf(profile.time, { 'motor-speed': profile.value, 'motor-torque': torque });
  const played = play(recording, { average: 0.1 });

  it('loses no peak, however few the buckets', () => {
    const largest = Math.max(...[...played.with].filter((v) => !Number.isNaN(v)));
    expect(largest).toBeGreaterThan(1);
    for (const buckets of [3, 40, 500]) {
      const { trace } = toPlayedDocument('x', recording.source, played, { buckets });
      expect(trace!.time_s.length).toBeLessThanOrEqual(buckets);
      expect(Math.max(...trace!.with_Nm.max.map((v) => v ?? 0))).toBeCloseTo(largest, 5);
    }
  });

  it('holds the part that was asked for', () => {
    const { trace, from_s, to_s } = toPlayedDocument('x', recording.source, played, {
      from: 6,
      to: 8,
      buckets: 50,
    });
    expect(trace!.time_s[0]).toBeLessThanOrEqual(6);
    expect(trace!.time_s[0]).toBeGreaterThan(5.9);
    expect(trace!.time_s.at(-1)).toBeLessThanOrEqual(8.05);
    expect([from_s, to_s]).toEqual([profile.time[0], played.time.at(-1)]);
    expect(toPlayedDocument('x', recording.source, played)).not.toHaveProperty('trace');
  });

  it('states forces as torque times gear ratio over radius', () => {
    const { stretches } = toPlayedDocument('x', recording.source, played);
    for (const s of stretches) {
      expect(s.with.peak_N).toBeCloseTo(s.with.peak_Nm * perTorque, 6);
      expect(s.without.rms_N).toBeCloseTo(s.without.rms_Nm * perTorque, 6);
    }
  });
});
