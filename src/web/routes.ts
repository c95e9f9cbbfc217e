// Every address on one screen. A page is a function of the services; each file under src/web answers a few of them.
// Codes of rows may hold any character, so what is not a row has its verb first: /new/rolls, never /rolls/new.
import { Router } from 'express';
import { RESOURCES } from '../domain/resources.ts';
import { acknowledgePage } from './acknowledge.ts';
import { answerPage } from './answer.ts';
import { answerFile, answerPlanPage } from './answerPlan.ts';
import { promisePost } from './answerPromise.ts';
import { auditPage } from './audit.ts';
import { buyPage } from './buy.ts';
import { needsFile, needsPage } from './buyNeeds.ts';
import { proposalPage } from './buyProposal.ts';
import { widthsPage } from './buyWidths.ts';
import { coatForm, coatingPage, coatPost, undoCoatingPost } from './coat.ts';
import { correctForm, correctPost } from './correctRoll.ts';
import { dispatchPage } from './dispatch.ts';
import { nothingHere } from './errors.ts';
import { lotPage, rollFamilyPage } from './family.ts';
import { findPage } from './find.ts';
import { homePage } from './home.ts';
import { machinePage } from './machine.ts';
import { packagePage, packagePost } from './packages.ts';
import { packForm, packPost } from './packing.ts';
import { finishedLabels, packageLabels, packListPage } from './packList.ts';
import { choosePage, choosePlan } from './plansChoose.ts';
import { choosePost } from './plansCurve.ts';
import { filePage, planFromFile } from './plansFile.ts';
import { insightFile, insightPage } from './plansInsight.ts';
import { comparePage, plansPage } from './plansList.ts';
import { againPost, aroundPost, cancelPost, planFile, planPage, problemFile } from './plansOpen.ts';
import { progressStream } from './plansProgress.ts';
import { acceptPost, promisesPage, withdrawPost as withdrawPromise } from './promises.ts';
import {
  newPurchaseOrder,
  purchaseOrderPage,
  purchaseOrdersPage,
  savePurchaseOrder,
} from './purchaseOrders.ts';
import { confirmForm, confirmPost, orderFile, orderSheet, replanPost, stepPost } from './purchaseSteps.ts';
import { receiptLabels, receiptPage, rollLabel } from './receipt.ts';
import { receiveForm, receivePost } from './receive.ts';
import { closePost, recordPage, recordPost, undoPost } from './recordPage.ts';
import { releaseForm, releasePost } from './releaseOfPlan.ts';
import { releasePage, withdrawRunsPost } from './releasePage.ts';
import { editForm, newForm, saveForm } from './resourceForm.ts';
import { importApply, importForm, importPreview } from './resourceImport.ts';
import { exportFile, listPage } from './resourceList.ts';
import { askDelete, doDelete, rowPage } from './resourceRow.ts';
import { returnForm, returnPost } from './returns.ts';
import { mapPage, mapPost } from './rollMap.ts';
import { statusPage, statusPost } from './rollStatus.ts';
import { cardPage, cardsPage } from './runCard.ts';
import type { Services } from './services.ts';
import { supplierRecordPage } from './supplierRecord.ts';
import { trimPage } from './trim.ts';
import { yieldFile, yieldPage } from './yield.ts';

/** All pages of the plant. */
export function routes(services: Services): Router {
  const to = Router({ caseSensitive: true });

  to.get('/', homePage(services));
  to.get('/find', findPage(services));

  planningRoutes(to, services);
  buyingRoutes(to, services);
  arrivalRoutes(to, services);
  machineRoutes(to, services);
  afterwardsRoutes(to, services);
  salesRoutes(to, services);
  tableRoutes(to, services);

  to.use(nothingHere);
  return to;
}

/** Plan the slitting: choose, wait, read, compare, ask what would pay. */
function planningRoutes(to: Router, services: Services): void {
  to.get('/plans', choosePage(services));
  to.post('/plans', choosePlan(services));
  to.get('/plans/all', plansPage(services));
  to.get('/plans/compare', comparePage(services));
  to.get('/plans/file', filePage);
  to.post('/plans/file', planFromFile(services));
  to.get('/plans/:id', planPage(services));
  to.get('/plans/:id/progress', progressStream(services));
  to.post('/plans/:id/cancel', cancelPost(services));
  to.post('/plans/:id/again', againPost(services));
  to.post('/plans/:id/choose', choosePost(services));
  to.post('/plans/:id/around', aroundPost(services));
  to.get('/plans/:id/insight', insightPage(services));
  to.get('/plans/:id/insight.json', insightFile(services));
  to.get('/plans/:id/problem.json', problemFile(services));
  to.get('/plans/:id/plan.json', planFile(services));
}

/** Film arrives, is coated, and rolls are cared for: goods receipts, labels, decisions, maps. */
function arrivalRoutes(to: Router, services: Services): void {
  to.get('/receive', receiveForm(services));
  to.post('/receive', receivePost(services));
  to.get('/receipts/:entry', receiptPage(services));
  to.get('/receipts/:entry/labels', receiptLabels(services));
  to.get('/coat', coatForm(services));
  to.post('/coat', coatPost(services));
  to.get('/coatings/:entry', coatingPage(services));
  to.post('/coatings/:entry/undo', undoCoatingPost(services));
  to.get('/rolls/:code/label', rollLabel(services));
  to.get('/rolls/:code/status', statusPage(services));
  to.post('/rolls/:code/status', statusPost(services));
  to.get('/rolls/:code/map', mapPage(services));
  to.post('/rolls/:code/map', mapPost(services));
}

/** Release to the machine, run, record. */
function machineRoutes(to: Router, services: Services): void {
  to.get('/plans/:id/release', releaseForm(services));
  to.post('/plans/:id/release', releasePost(services));
  to.get('/machine', machinePage(services));
  to.get('/releases/:id', releasePage(services));
  to.post('/releases/:id/withdraw', withdrawRunsPost(services));
  to.get('/releases/:id/card', cardsPage(services));
  to.get('/releases/:id/runs/:run/card', cardPage(services));
  to.get('/releases/:id/runs/:run/record', recordPage(services));
  to.post('/releases/:id/runs/:run/record', recordPost(services));
  to.post('/releases/:id/runs/:run/undo', undoPost(services));
  to.post('/releases/:id/runs/:run/close', closePost(services));
  to.get('/rolls/:code/correct', correctForm(services));
  to.post('/rolls/:code/correct', correctPost(services));
}

/** What comes after the machine: pack, send, take back, prove, follow. */
function afterwardsRoutes(to: Router, services: Services): void {
  to.get('/dispatch', dispatchPage(services));
  to.get('/pack/:order', packForm(services));
  to.post('/pack/:order', packPost(services));
  to.get('/packages/:sscc', packagePage(services));
  to.post('/packages/:sscc', packagePost(services));
  to.get('/packages/:sscc/labels', packageLabels(services));
  to.get('/orders/:code/pack-list', packListPage(services));
  to.get('/labels', finishedLabels(services));
  to.get('/rolls/:code/return', returnForm(services));
  to.post('/rolls/:code/return', returnPost(services));
  to.get('/yield', yieldPage(services));
  to.get('/export/yield.csv', yieldFile(services));
  to.get('/audit', auditPage(services));
  to.get('/rolls/:code/family', rollFamilyPage(services));
  to.get('/lots/:lot', lotPage(services));
}

/** Buy the film: what is needed, what to buy, purchase orders on their way. */
function buyingRoutes(to: Router, services: Services): void {
  to.get('/buy', buyPage(services));
  to.get('/buy/needs', needsPage(services));
  to.get('/buy/needs.csv', needsFile(services));
  to.get('/buy/proposal', proposalPage(services));
  to.get('/buy/widths', widthsPage(services));
  to.get('/purchase-orders', purchaseOrdersPage(services));
  to.get('/new/purchase-orders', newPurchaseOrder(services));
  to.post('/new/purchase-orders', savePurchaseOrder(services));
  to.get('/purchase-orders/:code', purchaseOrderPage(services));
  for (const step of ['send', 'close', 'cancel'] as const)
    to.post(`/purchase-orders/:code/${step}`, stepPost(services, step));
  to.post('/purchase-orders/:code/replan', replanPost(services));
  to.get('/purchase-orders/:code/confirm', confirmForm(services));
  to.post('/purchase-orders/:code/confirm', confirmPost(services));
  to.get('/purchase-orders/:code/print', orderSheet(services));
  to.get('/purchase-orders/:code/order.csv', orderFile(services));
  to.get('/suppliers/:code/record', supplierRecordPage(services));
}

/** Answer a customer: questions, promises, what is left over. */
function salesRoutes(to: Router, services: Services): void {
  to.get('/answer', answerPage(services));
  to.get('/answers/:id', answerPlanPage(services));
  for (const part of ['plan', 'problem', 'proof'] as const)
    to.get(`/answers/:id/${part}.json`, answerFile(services, part));
  to.post('/answers/:id/promise', promisePost(services));
  to.get('/promises', promisesPage(services));
  to.post('/promises/:order/accept', acceptPost(services));
  to.post('/promises/:order/withdraw', withdrawPromise(services));
  to.get('/acknowledge/:order', acknowledgePage(services));
  to.get('/trim', trimPage(services));
}

/** The tables of the plant, each as its description in domain/resources.ts says. */
function tableRoutes(to: Router, services: Services): void {
  for (const resource of Object.values(RESOURCES)) {
    const { name } = resource;
    to.get(`/${name}`, listPage(services, resource));
    to.get(`/export/${name}.csv`, exportFile(services, resource));
    to.get(`/new/${name}`, newForm(services, resource));
    to.post(`/new/${name}`, saveForm(services, resource));
    to.get(`/import/${name}`, importForm(resource));
    to.post(`/import/${name}`, importPreview(services, resource));
    to.post(`/import/${name}/apply`, importApply(services, resource));
    to.get(`/${name}/:code`, rowPage(services, resource));
    to.get(`/${name}/:code/edit`, editForm(services, resource));
    to.post(`/${name}/:code/edit`, saveForm(services, resource));
    to.get(`/${name}/:code/delete`, askDelete(services, resource));
    to.post(`/${name}/:code/delete`, doDelete(services, resource));
  }
}
