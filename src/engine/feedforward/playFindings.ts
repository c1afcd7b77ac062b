import type { Finding } from '../findings.js';

export const noTorque = (): Finding => ({
  code: 'role_missing',
  severity: 'refuse',
  message: 'the recording has no torque, so there is nothing to hold the feed-forward against',
  where: { role: 'motor-torque' },
  next: 'play a recording that holds torque and speed of this drive',
});

export const playedWebOn = (): Finding => ({
  code: 'web_on',
  severity: 'refuse',
  message:
    'the recording was made with the web on: its torque holds what the web pulled, so it cannot tell what the web would have felt',
  where: {},
  next: 'play a recording that was made without web',
});

export const inertiaLeftOut = (): Finding => ({
  code: 'inertia_not_identifiable',
  severity: 'warn',
  message: 'the inertia is not known: what the web would have felt holds the whole torque for acceleration',
  where: {},
  next: 'record ramps at two rates without web, and identify anew',
});

/** Speeds, or a direction, that the table has no rows for. */
export const beyondTable = (seconds: number, isMuch: boolean): Finding => ({
  code: 'low_speed_only',
  severity: isMuch ? 'warn' : 'info',
  message: `for ${seconds.toPrecision(3)} s the recording runs at speeds or in a direction that the table has no rows for; nothing is said of them`,
  where: { total_s: seconds },
  next: 'record plateaus over all speeds and directions in use, and identify anew',
});

/** The torque goes against what the feed-forward gives, as when its sign was turned for the identification and not here. */
export const playedSign = (): Finding => ({
  code: 'sign_convention',
  severity: 'warn',
  message: 'the torque of the recording has the opposite sign of what motion and drag ask for',
  where: { role: 'motor-torque' },
  next: 'play it with the sign of the torque turned, as it was identified',
});
