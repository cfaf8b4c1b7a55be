// Starts Chromium and notes what goes wrong in its pages.
import assert from 'node:assert/strict';

import { chromium } from 'playwright-core';

const kPatienceMs = 30_000;

export async function launch() {
  return chromium.launch({
    executablePath: process.env.LOTWRIGHT_CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--no-first-run'],
  });
}

/** A browser's own store (one person's device), and windows in it: {context, window(), assertQuiet()}. */
export async function device(browser, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, reducedMotion: 'reduce', ...options });
  context.setDefaultTimeout(kPatienceMs);
  const complaints = [];
  const window = async () => {
    const page = await context.newPage();
    page.on('pageerror', (error) => complaints.push(`${page.url()}: ${error.message}`));
    page.on('console', (message) => ['error', 'warning'].includes(message.type()) && complaints.push(`${page.url()}: ${message.text()}`));
    return page;
  };
  return { context, window, assertQuiet: () => assert.deepEqual(complaints, [], 'the page complained') };
}

/** Lets the client believe that this person sat down here before; what is changed afterwards stays. */
export async function named(context, who) {
  await context.addInitScript((settings) => localStorage.getItem('lotwright.settings') ?? localStorage.setItem('lotwright.settings', settings),
    JSON.stringify({ who, bench: 'bench-1', role: 'owner', theme: 'system' }));
}
