import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { PlayedDocument } from '../../src/engine/project/feedforwardPlay.js';
import { post, startServer, type TestServer, truth } from './support.js';

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
  const body = post({ recording: 'pull-roll.as-found', drive: 'pull-roll', store: true });
  const { job } = await server.json<{ job: string }>('/api/identifications', 202, body);
  expect((await server.ended(job)).state).toBe('done');
}, 60_000);
afterAll(() => server.stop());

describe('a feed-forward', () => {
  test('a recording is played through it: forces at the surface, every peak in some bucket', async () => {
    const url = '/api/identifications/pull-roll.as-found/feedforward/play?recording=pull-roll.as-found';
    const played = await server.json<PlayedDocument>(`${url}&average=0.2`);
    expect(played).toMatchObject({
      schema: 'tautline/feedforward-play@1',
      verdict: 'identified',
      average_s: 0.2,
    });
    // gear ratio 5 over a radius of 0.15 m
    expect(played.forcePerTorque_per_m).toBeCloseTo(5 / 0.15, 6);
    const of = (kind: string): PlayedDocument['summary'][number] =>
      played.summary.find((s) => s.kind === kind) as PlayedDocument['summary'][number];
    // the highest plateau needs drag alone, a ramp the inertia at 40 rad/s² as well
    expect(of('ramp').without.peak_Nm).toBeGreaterThan(truth.coulomb + truth.inertia * 40);
    expect(of('running').with.rms_Nm).toBeLessThan(0.02 * of('running').without.rms_Nm);
    const largest = (d: PlayedDocument): number =>
      Math.max(...(d.trace?.without_Nm.max ?? []).map((v) => v ?? 0));
    const few = await server.json<PlayedDocument>(`${url}&average=0.2&buckets=7`);
    expect(few.trace?.time_s).toHaveLength(7);
    expect(largest(few)).toBe(largest(played));
    const part = await server.json<PlayedDocument>(`${url}&average=0.2&from=4&to=5&buckets=50`);
    expect(part.trace?.time_s[0]).toBeGreaterThan(3.9);
    expect(part.trace?.time_s.at(-1)).toBeLessThan(5.1);
    expect(part.stretches).toEqual(played.stretches);
    const turned = await server.json<PlayedDocument>(`${url}&flipTorque=true`);
    expect(turned.findings.map((f) => f.code)).toContain('sign_convention');
  });

  test('what cannot be played is refused', async () => {
    const url = '/api/identifications/pull-roll.as-found/feedforward/play';
    await server.json(url, 400);
    await server.json(`${url}?recording=nothing`, 404);
    await server.json(`${url}?recording=..%2Fline.yaml`, 400);
    await server.json(`${url}?recording=pull-roll.as-found&average=0`, 400);
    await server.json(`${url}?recording=pull-roll.as-found&buckets=1e9`, 400);
    await server.json('/api/identifications/nothing/feedforward/play?recording=pull-roll.as-found', 404);
  });
});
