/**
 * Seeded random numbers of the invented plants: sfc32 (C. Doty-Humphrey's small fast counter, from memory), normals by
 * Marsaglia's polar method. Own code on purpose: the plants share nothing with what they check.
 */
export class Random {
  private a: number;
  private b: number;
  private c: number;
  private d = 1;
  private spare: number | undefined;

  constructor(name: string, seed: number) {
    let h = 0x811c9dc5 ^ seed;
    for (let i = 0; i < name.length; i++) h = Math.imul(h ^ name.charCodeAt(i), 0x01000193);
    this.a = h | 0;
    this.b = Math.imul(seed + 0x9e3779b9, 0x85ebca6b) | 0;
    this.c = (h ^ 0x6d2b79f5) | 0;
    for (let i = 0; i < 16; i++) this.unit();
  }

  /** Uniform in [0, 1). */
  unit(): number {
    const t = (((this.a + this.b) | 0) + this.d) | 0;
    this.d = (this.d + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (this.c << 21) | (this.c >>> 11);
    this.c = (this.c + t) | 0;
    return (t >>> 0) / 4294967296;
  }

  uniform(low: number, high: number): number {
    return low + (high - low) * this.unit();
  }

  logUniform(low: number, high: number): number {
    return low * (high / low) ** this.unit();
  }

  pick<T>(list: readonly T[]): T {
    return list[Math.floor(this.unit() * list.length)]!;
  }

  chance(probability: number): boolean {
    return this.unit() < probability;
  }

  /** Standard normal. */
  normal(): number {
    if (this.spare !== undefined) {
      const kept = this.spare;
      this.spare = undefined;
      return kept;
    }
    for (;;) {
      const u = 2 * this.unit() - 1;
      const v = 2 * this.unit() - 1;
      const s = u * u + v * v;
      if (s > 0 && s < 1) {
        const f = Math.sqrt((-2 * Math.log(s)) / s);
        this.spare = v * f;
        return u * f;
      }
    }
  }
}
